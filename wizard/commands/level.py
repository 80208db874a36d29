"""`tramwright level PROFILE`: the whole guided job on a machine, by a line or by hand."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from wizard.commands.job import add_job, assembled, header_of, needs_screens, play, taken_up

if TYPE_CHECKING:
    from profiles.machine import Machine
    from wizard.journal.writing import Journal


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `level` takes."""
    add_job(parser)


def run(args: argparse.Namespace) -> int:
    """Do the job. Raises ProfileError, InputRefused and DriverError."""
    from profiles.load import load

    if not args.plain:
        needs_screens("level")
    machine = load(args.profile)
    journal = taken_up(machine, "level") if args.resume else _begun(args, machine)
    return play(args, assembled(args, journal))


def _begun(args: argparse.Namespace, machine: Machine) -> Journal:
    """Begin a new job."""
    from wizard.journal.writing import start

    return start(header_of(args, "level", machine))
