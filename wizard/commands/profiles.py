"""`tramwright profiles list | show | check | new | copy | schema`: machine descriptions."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable

from wizard import exits
from wizard.commands import profiles_new
from wizard.commands.profiles_check import said_of


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the sub-commands of `profiles`."""
    does = parser.add_subparsers(dest="does", metavar="WHAT", required=True, title="what to do")
    _add_list(does.add_parser("list", help="the profiles that come with the program, and your own"))
    _add_show(does.add_parser("show", help="one machine in words"))
    _add_check(does.add_parser("check", help="say all that is wrong with a profile, line by line"))
    profiles_new.add_new(
        does.add_parser("new", help="describe a machine by questions; with --port it tells and shows itself")
    )
    profiles_new.add_copy(does.add_parser("copy", help="copy a profile among your own, to change it"))
    _add_schema(does.add_parser("schema", help="a JSON Schema of profiles, for editors"))


def run(args: argparse.Namespace) -> int:
    """Do what was asked. Raises ProfileError, InputRefused and DriverError."""
    does: Callable[[argparse.Namespace], int] = args.run
    return does(args)


def _add_list(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.set_defaults(run=_list)


def _add_show(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("profile", metavar="PROFILE", help="a profile's name, or a TOML file")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.set_defaults(run=_show)


def _add_check(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("profile", metavar="PROFILE", nargs="+", help="profiles' names, or TOML files")
    parser.set_defaults(run=_check)


def _add_schema(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("-o", "--output", metavar="FILE", help="write it there; printed without it")
    parser.add_argument("--over", action="store_true", help="write over FILE where it is there")
    parser.set_defaults(run=_schema)


def _list(args: argparse.Namespace) -> int:
    from profiles.faults import printable
    from profiles.own import folder

    rows = [_row(name) for name in _names()]
    if args.json:
        told = {"format": "tramwright-profiles/1", "own_folder": str(folder()), "profiles": rows}
        print(json.dumps(told, ensure_ascii=False))
        return exits.WITHIN
    width = max(len(row["profile"]) for row in rows)
    for row in rows:
        print(f"{printable(row['profile']):{width}}  {row['trouble'] or row['name']}{_whose(row)}")
    print(f"\nyour own profiles are kept in {printable(str(folder()))}")
    return exits.WITHIN


def _names() -> list[str]:
    from profiles.load import found

    return sorted(found())


def _row(name: str) -> dict[str, str]:
    """Return one profile: whose it is, its file, the machine's name or what is wrong."""
    from profiles.load import found, load, problems, shipped

    path = found()[name]
    whose = "shipped" if shipped().get(name) == path else "own"
    trouble = problems(name)
    return {
        "profile": name,
        "name": "" if trouble else load(name).name,
        "whose": whose,
        "in_place_of": "shipped" if whose == "own" and name in shipped() else "",
        "file": str(path),
        "trouble": f"cannot be used: {trouble[0]}" if trouble else "",
    }


def _whose(row: dict[str, str]) -> str:
    if row["whose"] == "shipped":
        return ""
    return "  (your own, in place of the shipped one)" if row["in_place_of"] else "  (your own)"


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
    codes = [said_of(profile) for profile in args.profile]
    return max(codes)


def _schema(args: argparse.Namespace) -> int:
    from pathlib import Path

    from profiles.own import write
    from profiles.schema import schema

    text = json.dumps(schema(), indent=2, ensure_ascii=False) + "\n"
    if args.output is None:
        print(text, end="")
    else:
        write(Path(args.output), text, over=args.over)
    return exits.WITHIN
