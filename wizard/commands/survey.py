"""`tramwright survey PROFILE`: measure only, on any kind of machine; nothing is turned or stored."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from wizard.commands.job import add_job, assembled, header_of, needs_screens, play, taken_up

if TYPE_CHECKING:
    from profiles.machine import Machine
    from wizard.journal.writing import Journal


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `survey` takes."""
    add_job(parser)
    parser.add_argument(
        "--json",
        action="store_true",
        help="print the result as one JSON object; what is asked goes to stderr",
    )


def run(args: argparse.Namespace) -> int:
    """Do it. Raises ProfileError, InputRefused and DriverError."""
    from profiles.load import load

    if not args.plain:
        needs_screens("survey")
    machine = load(args.profile)
    journal = taken_up(machine, "survey") if args.resume else _begun(args, machine)
    code = play(args, assembled(args, journal))
    outcome = journal.record.outcome
    if args.json and outcome is not None:
        from wizard.commands.survey_result import as_json

        print(as_json(args.profile, journal.header, outcome))
    return code


def _begun(args: argparse.Namespace, machine: Machine) -> Journal:
    """Begin a new survey."""
    from wizard.journal.writing import start

    return start(header_of(args, "survey", machine))
