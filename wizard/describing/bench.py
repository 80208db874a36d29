"""A machine on its line, for questions that wait on a person between two moves.

Every call returns when the machine is done. An interrupt from the keyboard stops the machine first.
"""

from __future__ import annotations

import asyncio
from collections.abc import Coroutine
from types import TracebackType
from typing import Any, Self, TypeVar

from drivers.printer import LinePrinter
from drivers.teaching import Told
from profiles.machine import XY, Bed, FirstLayer, Height, Machine, Motion, Point

T = TypeVar("T")


def nothing_known(baud: int) -> Machine:
    """Return a machine of which nothing is known: good for asking it, and for no move."""
    return Machine(
        name="not described yet",
        bed=Bed(size_mm=(1.0, 1.0)),
        motion=Motion(baud=baud, x_mm=(0.0, 0.0), y_mm=(0.0, 0.0), z_mm=(0.0, 0.0)),
        first_layer=FirstLayer(height_mm=0.2, gap_mm=0.15, tolerance_mm=0.05),
        height=Height(by="operator"),
    )


class Bench:
    """Drives one machine through `LinePrinter`, and so inside the safety envelope. A context manager."""

    def __init__(self, machine: Machine, source: str) -> None:
        self.machine = machine
        self._printer = LinePrinter(machine, source)
        self._runner = asyncio.Runner()

    def __enter__(self) -> Self:
        """Connect. Nothing moves. Raises DriverError."""
        try:
            self._run(self._printer.connect())
        except BaseException:
            self._end()
            raise
        return self

    def __exit__(
        self, kind: type[BaseException] | None, _: BaseException | None, __: TracebackType | None
    ) -> None:
        """Stop after an interrupt; lift and switch heaters off in any case; let go of the line."""
        if kind is KeyboardInterrupt:
            self._stop()
        self._run(self._printer.make_safe())
        self._end()

    def told(self) -> Told:
        """Return what the machine tells by itself. Nothing moves."""
        return self._run(self._printer.teaching().told())

    def home(self) -> None:
        """Home all axes, then lift to clearance."""
        self._run(self._printer.home())

    def over(self, at_mm: XY) -> XY:
        """Go over a place at clearance height; return where the nozzle stands."""
        self._run(self._printer.teaching().over(at_mm))
        x_mm, y_mm, _ = self._printer.teaching().at_mm()
        return x_mm, y_mm

    def park(self, point: Point, z_mm: float) -> None:
        """Go over one of the machine's points and down to a height."""
        self._run(self._printer.park(point, z_mm))

    def lower(self, z_mm: float) -> None:
        """Over the present point go to a height, from above."""
        self._run(self._printer.lower(z_mm))

    def lift(self) -> None:
        """Lift to clearance height."""
        self._run(self._printer.lift())

    def _run(self, work: Coroutine[Any, Any, T]) -> T:
        try:
            return self._runner.run(work)
        except KeyboardInterrupt:
            self._stop()
            raise

    def _stop(self) -> None:
        async def stop() -> None:
            self._printer.stop()

        self._runner.run(stop())

    def _end(self) -> None:
        self._runner.run(self._printer.close())
        self._runner.close()
