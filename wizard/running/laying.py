"""Has the check print laid down: plans it, lets the printer lay it, tells progress, passes a pause on."""

from __future__ import annotations

from collections.abc import Callable

from drivers.errors import MoveRefused
from drivers.interface import Printer, Progress
from profiles.machine import Machine
from wizard.printing.plan import NoPrint, plan
from wizard.requests import Done, PrintLayer
from wizard.running.events import Event, PrintTick
from wizard.running.flow import State
from wizard.running.pace import Pace


class _Onlooker:
    """Holds the layer while the job is paused."""

    def __init__(self, pace: Pace, tell: Callable[[Event], None]) -> None:
        self._pace = pace
        self._tell = tell

    def told(self, progress: Progress) -> None:
        self._tell(PrintTick(progress.done, progress.total, progress.left_s))

    @property
    def held(self) -> bool:
        return self._pace.is_in(State.PAUSED)

    async def released(self) -> None:
        await self._pace.not_paused()


async def lay_down(
    printer: Printer, machine: Machine, request: PrintLayer, pace: Pace, tell: Callable[[Event], None]
) -> Done:
    """Lay the check print down. Raises drivers.errors.DriverError; MoveRefused where there can be none."""
    try:
        planned = plan(machine, request.bed_c, request.nozzle_c)
    except NoPrint as error:
        raise MoveRefused(str(error)) from error
    await printer.laying().run(planned.blocks, planned.nozzle_c, _Onlooker(pace, tell))
    return Done()
