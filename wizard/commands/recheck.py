"""`tramwright recheck PROFILE`: is it still right, after a nozzle swap or some weeks?"""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

from wizard import exits
from wizard.commands.job import add_job, assembled, header_of, needs_screens, play, taken_up

if TYPE_CHECKING:
    from profiles.machine import Machine
    from wizard.base import Base
    from wizard.journal import Journal


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `recheck` takes."""
    add_job(parser)


def run(args: argparse.Namespace) -> int:
    """Do it. Raises ProfileError, InputRefused and DriverError."""
    from profiles.load import load

    if not args.plain:
        needs_screens("recheck")
    machine = load(args.profile)
    journal = taken_up(machine, "recheck") if args.resume else _begun(args, machine)
    return play(args, assembled(args, journal))


def _base(machine: Machine) -> Base:
    """Return the last proven run of this machine. Raises InputRefused."""
    from wizard.journal import now_utc
    from wizard.records.bases import base_of, last_proven, same_bed
    from wizard.records.filing import open_records

    records = open_records()
    for trouble in records.troubles:
        print(f"tramwright: {trouble}", file=sys.stderr)
    with records.store as store:
        run = last_proven(store.runs(machine.name))
        if run is None:
            raise exits.InputRefused(
                f"no proven run of {machine.name!r} is on record, so that there is nothing to compare with;"
                " use tramwright level PROFILE"
            )
        whole = store.whole(run.id)
    if not same_bed(whole.header.profile, machine):
        raise exits.InputRefused(
            f"the description of {machine.name!r} has changed since its last proven run {run.id}:"
            " its gaps cannot be compared; use tramwright level PROFILE"
        )
    return base_of(whole, now_utc())


def _begun(args: argparse.Namespace, machine: Machine) -> Journal:
    """Begin a new recheck of the last proven run."""
    from wizard.journal import start

    return start(header_of(args, "recheck", machine, _base(machine)))
