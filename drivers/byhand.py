"""The same interface with no line: a person is asked to move the head and to set the heat.

The same envelope plans every motion, so that nothing is asked for that a line would not be told.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import Literal, Protocol

from drivers import commands as c
from drivers.envelope import Envelope
from drivers.errors import DriverError, MoveRefused
from drivers.interface import Identity, Lays, LineRecord, OwnWords, Status, Temperatures, nobody
from profiles.machine import Machine, Point

What = Literal["home", "park", "lower", "lift", "heat", "cool"]


class Ask(Protocol):
    """Asks a person to do something with the machine; returns when it is done."""

    async def __call__(
        self,
        what: What,
        point: str | None = None,
        z_mm: float | None = None,
        bed_c: float | None = None,
        nozzle_c: float | None = None,
    ) -> None:
        """Ask, and wait."""


class HandPrinter:
    """Implements `drivers.interface.Printer` by asking a person."""

    def __init__(self, machine: Machine, ask: Ask) -> None:
        self._machine = machine
        self._ask = ask
        self._envelope = Envelope(machine)
        self._status = Status()
        self._heated = False
        self._on_status: Callable[[Status], None] = nobody

    @property
    def status(self) -> Status:
        """What is known from what was confirmed."""
        return self._status

    def watch(
        self,
        on_status: Callable[[Status], None],
        on_line: Callable[[LineRecord], None],
    ) -> None:
        """Be told of changes of status; there are no lines."""
        self._on_status = on_status

    async def connect(self) -> Identity:
        """Nothing to open."""
        self._envelope.forget("the machine has not been homed yet")
        self._change()
        return Identity("by hand")

    async def warm(self, bed_c: float, nozzle_c: float) -> None:
        """Ask for the temperatures, unless both are 0."""
        for target in (c.SetBed(bed_c), c.SetNozzle(nozzle_c)):
            self._envelope.admit(target)
        if bed_c or nozzle_c:
            self._heated = True
            await self._ask("heat", bed_c=bed_c, nozzle_c=nozzle_c)

    async def home(self) -> None:
        """Ask for homing and for clearance height after it, in one go."""
        self._envelope.forget("homing did not finish")
        await self._ask("home", z_mm=self._machine.motion.clearance_mm)
        self._carried_out([c.Home(), *self._envelope.plan_lift()])

    async def park(self, point: Point, z_mm: float) -> None:
        """Ask for the head over `point`, nozzle at `z_mm`."""
        moves = self._envelope.plan_park(point, z_mm)
        await self._ask("park", point=point.name, z_mm=z_mm)
        self._carried_out(moves)

    async def lower(self, z_mm: float) -> None:
        """Ask for the nozzle at `z_mm`, over the same point."""
        moves = self._envelope.plan_lower(z_mm)
        point = self._envelope.point_below()
        await self._ask("lower", point=point.name if point else None, z_mm=z_mm)
        self._carried_out(moves)

    async def lift(self) -> None:
        """Ask for clearance height, unless the nozzle is there."""
        moves = self._envelope.plan_lift()
        if moves:
            await self._ask("lift", z_mm=self._machine.motion.clearance_mm)
            self._carried_out(moves)

    async def set_height(self, change_mm: float) -> None:
        """Not by a command: there is no line. Raises MoveRefused."""
        raise MoveRefused("Without a line the nozzle height is changed on the machine itself.")

    async def store(self) -> None:
        """Not by a command: there is no line. Raises MoveRefused."""
        raise MoveRefused("Without a line settings are stored on the machine itself.")

    def own_words(self) -> OwnWords:
        """None can be sent: there is no line. Raises MoveRefused."""
        raise MoveRefused("Without a line the machine's own commands cannot be sent.")

    def laying(self) -> Lays:
        """Nothing is laid down from here: there is no line. Raises MoveRefused."""
        raise MoveRefused("Without a line the check print is written as a file: tramwright firstlayer.")

    async def cool(self) -> None:
        """Ask for heaters off, if heat was asked for."""
        if self._heated:
            await self._ask("cool")
            self._heated = False

    def stop(self) -> None:
        """Nobody can be told: whoever moves the head is the one who pressed stop."""
        self._envelope.forget("it was stopped")
        self._change()

    async def make_safe(self, *, keep_hot: bool = False) -> None:
        """Ask for heaters off, unless they may stay on. The head is in the person's hands."""
        if keep_hot:
            return
        with suppress(DriverError):
            await self.cool()

    async def come_back(self) -> None:
        """There is no line that could be lost."""

    async def close(self) -> None:
        """Nothing to close."""
        self._envelope.forget("the job was ended")
        self._change()

    def _carried_out(self, done: Sequence[c.Command]) -> None:
        for command in done:
            self._envelope.carried_out(command)
        self._change()

    def _change(self) -> None:
        status = Status(position_mm=self._envelope.position_mm(), temperatures=Temperatures())
        if status != self._status:
            self._status = status
            self._on_status(status)
