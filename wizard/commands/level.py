"""`tramwright level PROFILE`: the whole guided job on a machine, by a line or by hand."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from wizard import exits
from wizard.commands.job import add_job, header_of, needs_screens, play

if TYPE_CHECKING:
    from pathlib import Path

    from profiles.machine import Machine
    from wizard.assembly import Assembly
    from wizard.journal import Journal


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `level` takes."""
    add_job(parser)
    parser.add_argument(
        "--resume", action="store_true", help="go on with the newest unfinished job of PROFILE"
    )


def run(args: argparse.Namespace) -> int:
    """Do the job. Raises ProfileError, InputRefused and DriverError."""
    from profiles.load import load

    if not args.plain:
        needs_screens("level")
    machine = load(args.profile)
    return play(args, _taken_up(args, machine) if args.resume else _begun(args, machine))


def _begun(args: argparse.Namespace, machine: Machine) -> Assembly:
    """Begin a new job."""
    from wizard.journal import start

    header = header_of(args, "level", machine)
    return _assembled(args, start(header), header.port)


def _taken_up(args: argparse.Namespace, machine: Machine) -> Assembly:
    """Go on with the newest unfinished job of this machine, as its journal describes it."""
    from wizard.journal import JournalError, newest_unfinished, reopen, runs_folder

    path: Path | None = newest_unfinished(machine.name)
    if path is None:
        raise exits.InputRefused(
            f"--resume: no unfinished job of {machine.name!r} in {runs_folder()};"
            " leave --resume out to begin one"
        )
    try:
        journal = reopen(path)
    except JournalError as error:
        raise exits.InputRefused(str(error)) from error
    return _assembled(args, journal, args.port or journal.header.port)


def _assembled(args: argparse.Namespace, journal: Journal, port: str) -> Assembly:
    from wizard.assembly import Assembly
    from wizard.facts import Facts

    facts = Facts(journal.header.profile, by_hand=journal.header.by_hand)
    return Assembly(facts=facts, journal=journal, source=port, speed=args.speed)
