"""What a machine does by its own words, as its profile tells them: touch, grid, motors, numbers kept."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from contextlib import AbstractAsyncContextManager
from typing import Protocol

from drivers import commands as c
from drivers import stored_offset
from drivers.conversation import Conversation
from drivers.envelope import Envelope
from drivers.errors import MoveRefused, PrinterFault
from drivers.probing import number, touch
from profiles.grid import GridValue
from profiles.machine import XY, Adjuster, Compensation, Machine
from profiles.threads import raise_per_clockwise_turn_mm

SAME_MM = 0.0015
"""Numbers are sent with three decimals; what comes back may be off by one of the last."""


class Working(Protocol):
    """Marks the machine as at work; raises what is wrong already."""

    def __call__(self, moving: bool = False) -> AbstractAsyncContextManager[None]:
        """Begin a piece of work."""


class LineWords:
    """Implements `drivers.interface.OwnWords` over a line and inside an envelope."""

    def __init__(self, machine: Machine, talk: Conversation, envelope: Envelope, working: Working) -> None:
        self._machine = machine
        self._talk = talk
        self._envelope = envelope
        self._working = working

    async def kept_height_mm(self) -> float:
        """Return the nozzle height that the machine keeps. Raises MoveRefused where it cannot be asked."""
        async with self._working():
            return await stored_offset.kept_mm(self._talk, self._machine.height)

    async def touch(self, at_mm: XY, times: int) -> tuple[float, ...]:
        """Touch the plate at a place; return the commanded Z of each contact, mm."""
        async with self._working(moving=True):
            return tuple(
                [await touch(self._talk, self._envelope, self._machine, at_mm) for _ in range(times)]
            )

    async def set_grid(self, values: Sequence[GridValue]) -> None:
        """Set all numbers of the software compensation. Raises MoveRefused without a command for it."""
        template = self._compensation().set_command
        if template is None:
            raise MoveRefused("The profile has no command that sets the grid of the compensation.")
        async with self._working():
            for value in values:
                await self._talk.ask(_grid_block(template, value))

    async def follow_grid(self) -> None:
        """Have the machine follow its grid from now on. Raises MoveRefused without a command for it."""
        template = self._compensation().activate_command
        if template is None:
            raise MoveRefused("The profile has no command that switches the compensation on.")
        async with self._working():
            await self._talk.ask(c.filled(template))

    async def leave_grid(self) -> None:
        """Have the machine follow no grid. Raises MoveRefused without a command for it."""
        template = self._compensation().deactivate_command
        if template is None:
            raise MoveRefused("The profile has no command that switches the compensation off.")
        async with self._working():
            await self._talk.ask(c.filled(template))

    async def check_grid(self, values: Sequence[GridValue]) -> None:
        """Read the grid back where the machine can tell it. Raises PrinterFault where it keeps another."""
        part = self._compensation()
        if part.read_command is None or part.reply is None:
            return
        async with self._working():
            texts = [reply.text for reply in await self._talk.ask(c.filled(part.read_command))]
        told = [number(found["offset_mm"]) for text in texts for found in re.finditer(part.reply, text)]
        wanted = [value.offset_mm for value in values]
        same = len(told) == len(wanted) and all(
            mm is not None and abs(mm - want) <= SAME_MM for mm, want in zip(told, wanted, strict=True)
        )
        if not same:
            raise PrinterFault(f"The grid that the machine keeps is not the one that was set: {told}.")

    async def move_motors(self, turns: Mapping[str, float]) -> None:
        """Move the plate's motors, clockwise positive, the nozzle lifted. Raises MoveRefused."""
        blocks = [self._motor_block(self._machine.adjuster_named(name), t) for name, t in turns.items()]
        async with self._working(moving=True):
            if not self._envelope.homed:
                raise MoveRefused("The plate is moved only after homing.")
            await self._talk.run(self._envelope.plan_lift())
            for block in blocks:
                await self._talk.ask(block, self._envelope.homing_s())
            await self._talk.finish(self._envelope.homing_s())

    def _motor_block(self, motor: Adjuster, turns: float) -> c.Template:
        low, high = motor.travel_turns
        rise_mm = raise_per_clockwise_turn_mm(motor)
        if motor.move_command is None or rise_mm is None:
            raise MoveRefused(f"The profile has no command that moves the motor {motor.name!r}.")
        if not low <= turns <= high:
            raise MoveRefused(
                f"{turns:g} turns of {motor.name!r} are beyond its travel of {low:g} to {high:g}."
            )
        return c.filled(motor.move_command, rise_mm=rise_mm * turns, turns=turns)

    def _compensation(self) -> Compensation:
        if self._machine.compensation is None:
            raise MoveRefused("The profile has no software compensation.")
        return self._machine.compensation


def _grid_block(template: str, value: GridValue) -> c.Template:
    x_mm, y_mm = value.at_mm
    return c.filled(
        template,
        column=value.column,
        row=value.row,
        x_mm=x_mm,
        y_mm=y_mm,
        offset_mm=value.offset_mm,
    )
