"""`tramwright recheck PROFILE`: is it still right, after a nozzle swap or some weeks?"""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from wizard import exits
from wizard.commands.job import add_job, assembled, header_of, needs_screens, play, taken_up

if TYPE_CHECKING:
    from profiles.machine import Machine
    from wizard.journal.writing import Journal


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `recheck` takes."""
    add_job(parser)
    parser.add_argument(
        "--unattended",
        action="store_true",
        help="no terminal, no operator: a machine with a probe touches its plate and mends what it can"
        " by itself; it heats and moves at once",
    )
    parser.add_argument("--json", action="store_true", help="with --unattended: one JSON object")
    parser.add_argument(
        "--looked", action="store_true", help="say that you have looked at the machine after a fault"
    )


def run(args: argparse.Namespace) -> int:
    """Do it. Raises ProfileError, InputRefused and DriverError."""
    from profiles.load import load

    if args.json and not args.unattended:
        raise exits.InputRefused("--json goes with --unattended")
    if args.looked or args.unattended:
        return _without_a_job(args, load(args.profile))
    if not args.plain:
        needs_screens("recheck")
    machine = load(args.profile)
    journal = taken_up(machine, "recheck") if args.resume else _begun(args, machine)
    return play(args, assembled(args, journal))


def _without_a_job(args: argparse.Namespace, machine: Machine) -> int:
    """Do what needs no screen and asks no procedure's question."""
    if args.looked:
        from wizard.commands.looked import say_looked

        return say_looked(machine)
    from wizard.commands.unattended import run_unattended

    return run_unattended(args, machine)


def _begun(args: argparse.Namespace, machine: Machine) -> Journal:
    """Begin a new recheck of the last proven run."""
    from wizard.commands.proven import plate_base
    from wizard.journal.writing import start

    return start(header_of(args, "recheck", machine, plate_base(machine)))
