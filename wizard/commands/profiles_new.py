"""`tramwright profiles new` and `copy`: a machine described by questions, or from another profile."""

from __future__ import annotations

import argparse
import json
import re
from pathlib import Path

from wizard import exits

SET_EVERYTHING = """\
# Set every value below to your machine's own, and have the maker's manual at hand for it:
# a wrong limit, height or direction can drive the nozzle into the plate.
"""


def add_new(parser: argparse.ArgumentParser) -> None:
    """Add what `new` takes."""
    parser.add_argument(
        "name",
        metavar="NAME",
        nargs="?",
        default="",
        help='the machine\'s name, as in "The one by the window"',
    )
    _add_where(parser)
    parser.add_argument(
        "--port",
        metavar="URL",
        default="",
        help="ask the machine on this line, show places by driving there, learn directions by a trial turn",
    )
    parser.add_argument("--like", metavar="PROFILE", help="ask nothing: start from another profile")
    parser.set_defaults(run=_new)


def add_copy(parser: argparse.ArgumentParser) -> None:
    """Add what `copy` takes."""
    parser.add_argument("profile", metavar="PROFILE", help="a profile's name, or a TOML file")
    parser.add_argument(
        "name",
        metavar="NAME",
        nargs="?",
        default="",
        help="another name; without it your copy stands in its place",
    )
    _add_where(parser)
    parser.set_defaults(run=_copy)


def _add_where(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "-o", "--output", metavar="FILE", help="the file to write; without it, one among your own profiles"
    )
    parser.add_argument("--over", action="store_true", help="write over the file where it is there")


def _new(args: argparse.Namespace) -> int:
    if args.name or args.like:
        _refuse_name(args.name)
    if args.like:
        return _from_another(args, args.like)
    from profiles.write import toml_of
    from wizard.commands.profiles_check import said_of
    from wizard.describing.asking import Asker
    from wizard.describing.interview import Interview
    from wizard.describing.keys import read_key

    _refuse_taken(args)
    document = Interview(Asker(), args.port, read_key).describe(args.name)
    path = _write(args, document["name"], toml_of(document))
    return said_of(str(path))


def _from_another(args: argparse.Namespace, profile: str) -> int:
    from profiles.faults import printable

    path = _write(args, args.name, renamed(_text_of(profile), args.name))
    output = printable(str(path))
    print(
        f"{output}: written. Set each value to your machine's, then run: tramwright profiles check {output}"
    )
    return exits.WITHIN


def _copy(args: argparse.Namespace) -> int:
    from profiles import own
    from profiles.faults import printable
    from profiles.load import file_of

    if args.name:
        _refuse_name(args.name)
        return _from_another(args, args.profile)
    text = _text_of(args.profile)
    path = Path(args.output) if args.output else own.folder() / file_of(args.profile).name
    own.write(path, text, over=args.over)
    print(f"{printable(str(path))}: written.")
    return exits.WITHIN


def _text_of(profile: str) -> str:
    """Return the text of a profile that can be used. Raises ProfileError."""
    from profiles.load import file_of, load

    load(profile)
    return file_of(profile).read_text("utf-8-sig")


def _refuse_name(name: str) -> None:
    from profiles.ranges import name_faults

    for fault in name_faults("NAME", name):
        raise exits.InputRefused(f"{fault.key} {fault.said}.")


def _refuse_taken(args: argparse.Namespace) -> None:
    """Refuse before anything is asked, not after, where the file is there already."""
    from profiles.faults import printable

    path = _path(args, args.name) if args.output or args.name else None
    if path is not None and path.exists() and not args.over:
        raise exits.InputRefused(
            f"{printable(str(path))}: it is there already, and nothing is written over it without --over."
        )


def _path(args: argparse.Namespace, name: str) -> Path:
    from profiles import own

    return Path(args.output) if args.output else own.file_for(name)


def _write(args: argparse.Namespace, name: str, text: str) -> Path:
    from profiles import own

    path = _path(args, name)
    own.write(path, text, over=args.over)
    return path


def renamed(text: str, name: str) -> str:
    """Return a profile's text with the machine's name, and a head that asks to set each value."""
    lines = text.splitlines()
    while lines and lines[0].startswith("#"):
        lines.pop(0)
    quoted = f"name = {json.dumps(name, ensure_ascii=False)}"
    body = re.sub(r"^name = .*$", lambda _: quoted, "\n".join(lines), count=1, flags=re.MULTILINE)
    return f"{SET_EVERYTHING}{body}\n"
