"""`tramwright level PROFILE`: the whole guided job on a machine, by a line or by hand."""

from __future__ import annotations

import argparse
import os
from typing import TYPE_CHECKING

from wizard import exits
from wizard.commands.options import add_remarks

if TYPE_CHECKING:
    from pathlib import Path

    from profiles.machine import Machine
    from wizard.assembly import Assembly
    from wizard.journal import Journal


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `level` takes."""
    parser.add_argument("profile", metavar="PROFILE", help="a shipped profile's name, or a TOML file")
    parser.add_argument(
        "--port", metavar="URL", help="device, or socket://HOST:PORT; `tramwright ports` lists"
    )
    parser.add_argument("--hand", action="store_true", help="no line: you move the head yourself")
    parser.add_argument(
        "--resume", action="store_true", help="go on with the newest unfinished job of PROFILE"
    )
    parser.add_argument("--plain", action="store_true", help="line by line, without drawing a screen")
    add_remarks(parser)
    # How fast a simulated printer at the other end runs, so that the soak keeps pace with it.
    parser.add_argument("--speed", type=float, default=1.0, help=argparse.SUPPRESS)


def run(args: argparse.Namespace) -> int:
    """Do the job. Raises ProfileError, InputRefused and DriverError."""
    from profiles.load import load

    if not args.plain:
        _needs_screens()
    machine = load(args.profile)
    assembly = _taken_up(args, machine) if args.resume else _begun(args, machine)
    from wizard.commands.recorded import recorded

    with recorded(assembly.journal):
        return _play(args, assembly)


def _play(args: argparse.Namespace, assembly: Assembly) -> int:
    if args.plain:
        from wizard.commands.plain_play import play

        return play(assembly)
    from wizard.app import run_job

    return run_job(assembly.session, assembly.facts)


def _needs_screens() -> None:
    """Before anything is begun, so that no journal is left behind where no screen can be drawn."""
    from wizard.app import why_no_screens

    why_not = why_no_screens(os.environ)
    if why_not:
        raise exits.InputRefused(f"{why_not}, tramwright level PROFILE --plain")


def _begun(args: argparse.Namespace, machine: Machine) -> Assembly:
    """Begin a new job."""
    from importlib.metadata import version

    from wizard.journal import start
    from wizard.record import Header

    by_hand = args.hand or (machine.motion.link == "hand" and args.port is None)
    if by_hand and args.port is not None:
        raise exits.InputRefused("--hand and --port exclude each other: give one of them")
    port = "" if by_hand else args.port or _only_port()
    header = Header(
        "level",
        machine,
        by_hand=by_hand,
        port=port,
        version=version("tramwright"),
        nozzle=args.nozzle,
        nozzle_mm=args.nozzle_mm,
        remark=args.remark,
    )
    return _assembled(args, start(header), port)


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
