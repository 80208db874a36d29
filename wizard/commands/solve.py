"""`tramwright solve PROFILE ROUNDS`: readings in a file -> what they say, and what to turn."""

from __future__ import annotations

import argparse
import json

from wizard import exits


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `solve` takes."""
    parser.add_argument("profile", metavar="PROFILE", help="a shipped profile's name, or a TOML file")
    parser.add_argument("rounds", metavar="ROUNDS", help="readings, JSON or CSV; - is standard input")
    parser.add_argument("--json", action="store_true", help="print one JSON object")


def run(args: argparse.Namespace) -> int:
    """Solve and print. Returns 0 within tolerance, else 1. Raises ProfileError and InputRefused."""
    from profiles.load import load
    from wizard.formats.finding_json import finding_object
    from wizard.formats.rounds_file import read_rounds

    machine = load(args.profile)
    rounds = read_rounds(args.rounds, machine)

    from wizard.instructions import finding_lines
    from wizard.instructions.warmth import closing_sentence
    from wizard.solver import solve

    finding = solve(machine, rounds)
    lines = tuple(filter(None, (*finding_lines(finding, machine), closing_sentence(machine))))
    if args.json:
        print(json.dumps(finding_object(finding, lines), allow_nan=False, ensure_ascii=False))
    else:
        print(*lines, sep="\n")
    return exits.WITHIN if finding.verdict == "within" else exits.NOT_WITHIN
