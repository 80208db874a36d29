"""What `level` and `recheck` share: how the machine is reached, what the record says, how it is played."""

from __future__ import annotations

import argparse
import os
import sys
from typing import TYPE_CHECKING

from wizard import exits
from wizard.commands.options import add_remarks, add_thou

if TYPE_CHECKING:
    from profiles.machine import Machine
    from wizard.base import Base
    from wizard.journal.lines import Header
    from wizard.journal.writing import Journal
    from wizard.running.assembly import Assembly


PROCEDURES = {"level": "job", "recheck": "recheck", "survey": "survey"}


def add_job(parser: argparse.ArgumentParser) -> None:
    """Add what a job on a real machine takes."""
    parser.add_argument("profile", metavar="PROFILE", help="a shipped profile's name, or a TOML file")
    parser.add_argument(
        "--port", metavar="URL", help="device, or socket://HOST:PORT; `tramwright ports` lists"
    )
    parser.add_argument("--hand", action="store_true", help="no line: you move the head yourself")
    parser.add_argument(
        "--resume", action="store_true", help="go on with the newest unfinished one of PROFILE"
    )
    parser.add_argument("--plain", action="store_true", help="line by line, without drawing a screen")
    parser.add_argument(
        "--keep-hot",
        action="store_true",
        help="leave the heaters on where the connection drops or the program is told to end (not at a stop)",
    )
    add_remarks(parser)
    add_thou(parser)
    # How fast a simulated printer at the other end runs, so that the soak keeps pace with it.
    parser.add_argument("--speed", type=float, default=1.0, help=argparse.SUPPRESS)


def needs_screens(command: str) -> None:
    """Refuse before anything is begun, so that no journal is left behind where no screen can be drawn."""
    from wizard.apps.doors import why_no_screens

    why_not = why_no_screens(os.environ)
    if why_not:
        raise exits.InputRefused(f"{why_not}; for this job: tramwright {command} PROFILE --plain")


def header_of(args: argparse.Namespace, procedure: str, machine: Machine, base: Base | None = None) -> Header:
    """Return the first line of a new run's journal. Raises InputRefused."""
    from wizard import __version__
    from wizard.commands.nozzle import nozzle_of
    from wizard.config import keys_in_force
    from wizard.journal.lines import Header

    keys_in_force()  # settings that cannot be used are told before anything is begun

    by_hand = args.hand or (machine.motion.link == "hand" and args.port is None)
    if by_hand and args.port is not None:
        raise exits.InputRefused("--hand and --port exclude each other: give one of them")
    port = "" if by_hand else args.port or _only_port()
    nozzle = nozzle_of(args, machine.name)
    return Header(
        procedure,
        machine,
        by_hand=by_hand,
        port=port,
        version=__version__,
        nozzle=nozzle.name,
        nozzle_mm=nozzle.size_mm,
        remark=args.remark,
        base=base,
    )


def taken_up(machine: Machine, procedure: str) -> Journal:
    """Open the newest unfinished run of this machine, to go on as its journal describes it.

    Raises InputRefused.
    """
    from wizard.journal.files import JournalError
    from wizard.journal.runs import newest_unfinished, runs_folder
    from wizard.journal.writing import reopen

    path = newest_unfinished(machine.name, procedure)
    if path is None:
        raise exits.InputRefused(
            f"--resume: no unfinished {PROCEDURES[procedure]} of {machine.name!r} in {runs_folder()};"
            " leave --resume out to begin one"
        )
    try:
        return reopen(path)
    except JournalError as error:
        raise exits.InputRefused(str(error)) from error


def assembled(args: argparse.Namespace, journal: Journal) -> Assembly:
    """Put the job together that a journal begins, or goes on with."""
    from wizard.config import thou_wanted
    from wizard.facts import Facts
    from wizard.running.assembly import Assembly

    header = journal.header
    thou = args.thou or thou_wanted()
    facts = Facts(header.profile, by_hand=header.by_hand, base=header.base, thou=thou)
    return Assembly(
        facts=facts,
        journal=journal,
        source=args.port or header.port,
        speed=args.speed,
        keep_hot=args.keep_hot,
    )


def play(args: argparse.Namespace, assembly: Assembly) -> int:
    """Do the job and file its record; return the exit code."""
    from wizard.commands.recorded import recorded

    with recorded(assembly.journal):
        if args.plain:
            from wizard.commands.plain_play import play

            return play(assembly, to=sys.stderr if getattr(args, "json", False) else None)
        from wizard.apps.doors import run_job

        return run_job(assembly.session, assembly.facts, record=str(assembly.journal.path or ""))


def _only_port() -> str:
    """Return the one port that can be opened. Raises InputRefused where there is none, or more."""
    from drivers.ports import find_ports

    ports = find_ports()
    usable = [port.device for port in ports if not port.trouble]
    if len(usable) == 1:
        return usable[0]
    if usable:
        raise exits.InputRefused(f"several serial ports are there: give one with --port: {', '.join(usable)}")
    troubles = "".join(f"; {port.device}: {port.trouble}" for port in ports)
    raise exits.InputRefused(
        f"no serial port can be opened{troubles}; give one with --port, or --hand to move the head yourself"
    )
