"""`tramwright recheck PROFILE --unattended`: no terminal, no operator; made for scripts."""

from __future__ import annotations

import argparse
import asyncio
import sys
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from drivers.errors import DriverError, PrinterFault
from wizard import exits
from wizard.commands.job import assembled, header_of
from wizard.running.events import Event, Faulted
from wizard.signals import when_told

if TYPE_CHECKING:
    from profiles.machine import Machine
    from wizard.base import Base
    from wizard.journal.writing import Journal
    from wizard.requests import Outcome
    from wizard.running.assembly import Assembly
    from wizard.running.session import Session


def run_unattended(args: argparse.Namespace, machine: Machine) -> int:
    """Do it and return the exit code. Raises InputRefused, and DriverError (with --json also printed)."""
    _refuse_what_it_cannot(args, machine)
    try:
        _refuse_after_a_fault(machine, args.profile)
        journal = _begun(args, machine)
    except DriverError as error:
        _print_fault(args, error)
        raise
    return _play(args, machine, assembled(args, journal), journal)


def _refuse_what_it_cannot(args: argparse.Namespace, machine: Machine) -> None:
    """Refuse a machine that cannot touch its plate, and what asks for a person."""
    wants = [name for name in ("hand", "resume", "plain") if getattr(args, name)]
    if wants:
        raise exits.InputRefused(
            f"--unattended and --{wants[0]} exclude each other: nobody is there to answer"
        )
    if machine.probe is None:
        raise exits.InputRefused(
            f"{machine.name!r} has no probe in its profile, so that a person has to hold a gauge;"
            " leave --unattended out"
        )


def _refuse_after_a_fault(machine: Machine, profile: str) -> None:
    """Raise PrinterFault where the last job ended in a fault, or without a word, and nobody has looked."""
    from wizard.journal.runs import last_fault

    found = last_fault(machine.name)
    if found is not None:
        from wizard.commands.looked import how_it_ended

        raise PrinterFault(
            f"{how_it_ended(machine.name, found[1])} Nothing is moved before a person has looked at the"
            f" machine and says so: tramwright recheck {profile} --looked"
        )


def _begun(args: argparse.Namespace, machine: Machine) -> Journal:
    from wizard.journal.writing import start

    base = _base(machine)
    header = header_of(args, "unattended", machine, base)
    _refuse_another_nozzle(machine, header.nozzle, base)
    return start(header)


def feels_the_nozzle(machine: Machine) -> bool:
    """Tell whether a touch feels how long the nozzle is: where it is the nozzle itself that touches."""
    return machine.probe is not None and machine.probe.kind == "nozzle contact"


def _refuse_another_nozzle(machine: Machine, nozzle: str, base: Base) -> None:
    """Refuse a nozzle that no gauge was held under where something beside the nozzle feels the plate."""
    if feels_the_nozzle(machine) or not nozzle or not base.nozzle or nozzle == base.nozzle:
        return
    raise exits.InputRefused(
        f"--nozzle {nozzle!r} is another one than {base.nozzle!r} of the last proven run {base.run}, and what"
        f" touches the plate on {machine.name!r} does not feel how long it is; use tramwright recheck PROFILE"
        " with a gauge"
    )


def _base(machine: Machine) -> Base:
    """Return the newest proven run, with the probe offset. Raises InputRefused.

    Where the nozzle itself is the sensor the offset does not change with the nozzle, and an older run may
    tell it; any other touch has to have been compared with a gauge in the newest one.
    """
    import msgspec

    from wizard.commands.proven import bases

    newest, *older = bases(machine)
    for base in (newest, *(older if feels_the_nozzle(machine) else ())):
        if base.probe_offset_mm is not None:
            return msgspec.structs.replace(
                newest, probe_offset_mm=base.probe_offset_mm, probe_u_mm=base.probe_u_mm
            )
    raise exits.InputRefused(
        f"in the last proven run of {machine.name!r}, {newest.run}, touch and gauge were not compared;"
        " use tramwright level PROFILE once"
    )


def _play(args: argparse.Namespace, machine: Machine, assembly: Assembly, journal: Journal) -> int:
    """Run the job, file its record, print the object where it is wanted."""
    from wizard.commands.recorded import recorded
    from wizard.running.session import Stopped

    try:
        with recorded(journal):
            outcome = asyncio.run(_drive(assembly))
    except DriverError as error:
        _print_fault(args, error)
        raise
    except (Stopped, asyncio.CancelledError):
        return exits.STOPPED
    from wizard.commands.recheck_result import as_json, told

    print(told(journal, outcome, machine), file=sys.stderr, flush=True)
    if args.json:
        print(as_json(args.profile, journal, outcome, machine))
    return exits.code_of(outcome)


def _print_fault(args: argparse.Namespace, error: DriverError) -> None:
    if args.json:
        from wizard.commands.recheck_result import fault_json

        print(fault_json(args.profile, error), flush=True)


async def _drive(assembly: Assembly) -> Outcome:
    """Run to the end; at a fault nobody could look, so that it ends there. Raises DriverError and Stopped."""
    from wizard.plain import Transcript
    from wizard.running.session import Stopped

    alone = _Alone(Transcript(partial(print, file=sys.stderr, flush=True), keys=None))
    alone.session = assembly.session(alone.listen)
    when_told(dict.fromkeys(("SIGINT", "SIGTERM", "SIGHUP"), alone.session.hang_up))
    try:
        return await alone.session.run()
    except Stopped:
        if alone.fault is None:
            raise
        raise PrinterFault(alone.fault.text, alone.fault.exchange) from None


class _Alone:
    """Listens to a session that nobody attends, and ends it at a fault: the machine has been made safe."""

    session: Session

    def __init__(self, tell: Callable[[Event], None]) -> None:
        self.fault: Faulted | None = None
        self._tell = tell

    def listen(self, event: Event) -> None:
        """Pass an event on."""
        self._tell(event)
        if isinstance(event, Faulted):
            self.fault = event
            asyncio.get_running_loop().call_soon(self.session.hang_up)
