"""The simulated counterpart of a recheck: a bed that was levelled, and what has happened to it since."""

from __future__ import annotations

import asyncio
from pathlib import Path

from drivers.simulated import SimulatedPrinter
from drivers.simulated.found import Start
from profiles.machine import Machine
from wizard import exits
from wizard.base import Base
from wizard.facts import Facts
from wizard.journal.files import read_lines
from wizard.journal.lines import Header
from wizard.journal.moment import now_utc
from wizard.journal.writing import start
from wizard.records.bases import base_of
from wizard.records.run import whole_of
from wizard.running.assembly import Assembly
from wizard.virtual.job import do_alone


def levelled(printer: SimulatedPrinter, seed: int, assembly: Assembly) -> Base:
    """Let the virtual operator level the bed; return what a recheck compares with. Raises InputRefused."""
    done = asyncio.run(do_alone(printer, seed, assembly, lambda _: None))
    path = assembly.journal.path
    if not done.outcome.proven or path is None:
        raise exits.InputRefused("this simulated bed could not be proven; try another --seed")
    return base_of(whole_of(path.name, read_lines(path)), now_utc())


def aged(before: SimulatedPrinter, seed: int, speed: float, found: Start, what: str) -> SimulatedPrinter:
    """Return the same machine later: cold, as it was left, with another nozzle or a loose adjuster.

    Raises InputRefused where nothing can come loose.
    """
    printer = SimulatedPrinter(before.machine, seed, speed, found)
    printer.plate.take_over(before.plate)
    if what == "nozzle":
        printer.plate.swap_nozzle(seed)
        return printer
    try:
        printer.plate.loosen(seed)
    except ValueError as error:
        raise exits.InputRefused(f"--recheck drift: {error}") from error
    return printer


def recheck_of(machine: Machine, base: Base, source: str, speed: float, folder: Path) -> Assembly:
    """Put together the recheck of a simulated printer."""
    journal = start(Header("recheck", machine, port=source, base=base), folder)
    return Assembly(
        facts=Facts(machine, simulated=True, base=base), journal=journal, source=source, speed=speed
    )
