"""`tramwright profiles list | show | check | new`: machine descriptions."""

from __future__ import annotations

import argparse
import json
import re
from collections.abc import Callable
from pathlib import Path

from wizard import exits

SET_EVERYTHING = """\
# Set every value below to your machine's own, and have the maker's manual at hand for it:
# a wrong limit, height or direction can drive the nozzle into the plate.
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the four sub-commands of `profiles`."""
    does = parser.add_subparsers(dest="does", metavar="WHAT", required=True, title="what to do")
    _add_list(does.add_parser("list", help="the profiles that come with the program"))
    _add_show(does.add_parser("show", help="one machine in words"))
    _add_check(does.add_parser("check", help="say all that is wrong with a profile"))
    _add_new(does.add_parser("new", help="write a commented profile to start from"))


def run(args: argparse.Namespace) -> int:
    """Do what was asked. Raises ProfileError and InputRefused."""
    does: Callable[[argparse.Namespace], int] = args.run
    return does(args)


def _add_list(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.set_defaults(run=_list)


def _add_show(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("profile", metavar="PROFILE", help="a shipped profile's name, or a TOML file")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.set_defaults(run=_show)


def _add_check(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("profile", metavar="PROFILE", nargs="+", help="shipped profiles or TOML files")
    parser.set_defaults(run=_check)


def _add_new(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("name", metavar="NAME", help='the machine\'s name, as in "The one by the window"')
    parser.add_argument("-o", "--output", metavar="FILE", required=True, help="the file to write")
    parser.add_argument(
        "--like", metavar="PROFILE", default="four-corner-220", help="shipped profile to start from"
    )
    parser.set_defaults(run=_new)


def _list(args: argparse.Namespace) -> int:
    from profiles.load import load, shipped

    names = {name: load(name).name for name in shipped()}
    if args.json:
        told = [{"profile": name, "name": full} for name, full in names.items()]
        print(json.dumps({"format": "tramwright-profiles/1", "profiles": told}, ensure_ascii=False))
    else:
        width = max(map(len, names))
        print(*(f"{name:{width}}  {full}" for name, full in names.items()), sep="\n")
    return exits.WITHIN


def _show(args: argparse.Namespace) -> int:
    import msgspec

    from profiles.load import load
    from wizard.machine_words import machine_lines

    machine = load(args.profile)
    if args.json:
        print(json.dumps(msgspec.to_builtins(machine), ensure_ascii=False))
    else:
        print(*machine_lines(machine), sep="\n")
    return exits.WITHIN


def _check(args: argparse.Namespace) -> int:
    import sys

    from profiles.faults import printable
    from profiles.load import problems

    code = exits.WITHIN
    for profile in args.profile:
        found = problems(profile)
        if found:
            code = exits.WRONG_INPUT
            print(*found, sep="\n", file=sys.stderr)
        else:
            print(f"{printable(profile)}: can be used.")
    return code


def _new(args: argparse.Namespace) -> int:
    from profiles.faults import printable
    from profiles.load import ProfileError, shipped
    from profiles.ranges import name_faults

    if args.like not in shipped():
        raise ProfileError(f'--like is "{args.like}", but must be one of {", ".join(shipped())}.')
    for fault in name_faults("NAME", args.name):
        raise exits.InputRefused(f"{fault.key} {fault.said}.")
    _write_new(Path(args.output), renamed(shipped()[args.like].read_text("utf-8"), args.name))
    output = printable(args.output)
    print(
        f"{output}: written. Set each value to your machine's, then run: tramwright profiles check {output}"
    )
    return exits.WITHIN


def _write_new(path: Path, text: str) -> None:
    from profiles.faults import printable

    file = printable(str(path))
    try:
        with path.open("x", encoding="utf-8") as stream:
            stream.write(text)
    except FileExistsError:
        raise exits.InputRefused(f"{file}: it is there already, and nothing is written over it.") from None
    except OSError as error:
        raise exits.InputRefused(f"{file}: it cannot be written: {error.strerror}.") from None


def renamed(text: str, name: str) -> str:
    """Return a profile's text with the machine's name, and a head that asks to set each value."""
    lines = text.splitlines()
    while lines and lines[0].startswith("#"):
        lines.pop(0)
    quoted = f"name = {json.dumps(name, ensure_ascii=False)}"
    body = re.sub(r"^name = .*$", lambda _: quoted, "\n".join(lines), count=1, flags=re.MULTILINE)
    return f"{SET_EVERYTHING}{body}\n"
