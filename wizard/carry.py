"""A procedure's requests to the machine, carried out by a printer. Nothing is decided here."""

from __future__ import annotations

from drivers.interface import Printer
from profiles.machine import Machine
from wizard.requests import (
    AnyAnswer,
    AnyRequest,
    Connect,
    Connected,
    CoolDown,
    Done,
    Home,
    Lift,
    Lower,
    Park,
    SetHeight,
    Store,
    Warm,
)


async def carry_out(printer: Printer, machine: Machine, request: AnyRequest) -> AnyAnswer:
    """Have `printer` do what `request` asks. Raises drivers.errors.DriverError, TypeError for others."""
    match request:
        case Connect():
            who = await printer.connect()
            return Connected(who.line, who.facts, who.simulated)
        case Warm():
            await printer.warm(request.bed_c, request.nozzle_c)
        case Home():
            await printer.home()
        case Park():
            await printer.park(machine.point_named(request.point), request.z_mm)
        case Lower():
            await printer.lower(request.z_mm)
        case Lift():
            await printer.lift()
        case SetHeight():
            await printer.set_height(request.change_mm)
        case Store():
            await printer.store()
        case CoolDown():
            await printer.cool()
        case _:
            raise TypeError(f"no printer can carry out {type(request).__name__}")
    return Done()
