"""Standard blocks asked one after another, and what their answers mean.

`ask` is the only place from which a numbered block is written, and the envelope admits each first.
A block that a machine does not know is a fault, except for those it can do without.
"""

from __future__ import annotations

import asyncio
from collections.abc import Sequence

import msgspec

from drivers import commands as c
from drivers.envelope import Envelope
from drivers.errors import NoReply, PrinterFault, Stopped
from drivers.interface import Identity
from drivers.line import Line
from drivers.replies import (
    Blank,
    Busy,
    Capability,
    Failure,
    Ok,
    Position,
    Reply,
    UnknownCommand,
    identity_facts,
)

XYZ = tuple[float, float, float]
CAN_DO_WITHOUT = (
    c.MILLIMETRES,
    c.KEEP_MOTORS_ON,
    c.FINISH_MOVES,
    c.TELL_POSITION,
    c.TELL_IDENTITY,
    c.TELL_TEMPERATURES,
    c.TELL_ENDSTOPS,
)
AGREE_MM = 0.02
POSITION_TRIES = 4
SPEED_UP_S = 0.5
GREETINGS = 3
LOOK = "Is the machine switched on, is it the right port, and is the profile's baud the machine's?"


class Waits(msgspec.Struct, frozen=True):
    """How long to wait, seconds.

    boot_s: for a banner, on lines that can restart the machine; quiet_s: for quiet on others.
    poll_s: between two looks at what is waited for; idle_poll_s: while nothing is.
    """

    boot_s: float = 2.0
    quiet_s: float = 0.2
    boot_at_most_s: float = 12.0
    poll_s: float = 1.0
    idle_poll_s: float = 1.0
    heater_window_s: float = 120.0


class Conversation:
    """Talks to one machine over one line, inside one envelope."""

    def __init__(self, line: Line, envelope: Envelope, waits: Waits) -> None:
        self._line = line
        self._envelope = envelope
        self._waits = waits

    async def greet(self) -> Identity:
        """Wait for the machine to be ready, agree on numbers, units and mode, ask who it is.

        A machine that restarts meanwhile, as some do when the line is opened, is greeted again.
        """
        for left in reversed(range(GREETINGS)):
            try:
                return await self._greet_once()
            except Stopped:
                raise
            except PrinterFault:
                if not left:
                    raise
        raise AssertionError("the last greeting returns or raises")

    async def _greet_once(self) -> Identity:
        boot_s = self._waits.boot_s if self._line.may_reset else self._waits.quiet_s
        await self._line.quiet(boot_s, self._waits.boot_at_most_s)
        try:
            await self._line.begin()
        except NoReply as error:
            raise NoReply(f"Nothing that could be understood came from {self._line.name}. {LOOK}") from error
        for command in (c.MILLIMETRES, c.ABSOLUTE, c.KEEP_MOTORS_ON):
            await self.ask(command)
        texts = free_texts(await self.ask(c.TELL_IDENTITY))
        facts = {key: value for text in texts for key, value in identity_facts(text).items()}
        simulated = any("simulated" in text.lower() for text in texts)
        return Identity(self._line.name, facts, simulated)

    async def ask(self, command: c.Command, expected_s: float = 0.0) -> tuple[Reply, ...]:
        """Have one block carried out; return what the machine said. Raises PrinterFault on an error line."""
        self._envelope.admit(command)
        answer = await self._line.ask(c.encode(command), expected_s)
        for reply in answer.replies:
            self._check(command, reply)
        self._envelope.carried_out(command)
        return answer.replies

    def _check(self, command: c.Command, reply: Reply) -> None:
        unknown = isinstance(reply, UnknownCommand)
        if isinstance(reply, Failure) or (unknown and command not in CAN_DO_WITHOUT):
            self._envelope.forget("the machine reported an error")
            block = c.encode(command)
            raise PrinterFault(f"The machine answers {block!r} with: {reply.text}", self._line.exchange())

    async def run(self, moves: Sequence[c.Move]) -> None:
        """Have moves carried out; return when the nozzle stands there and the machine says so."""
        expected_s = 0.0
        for move in moves:
            move_s = self._duration_s(move)
            expected_s += move_s
            await self.ask(move, expected_s)
        if moves:
            await self.finish(expected_s)
            await self._confirm_position()

    def _duration_s(self, move: c.Move) -> float:
        here = self._envelope
        pairs = ((move.x_mm, here.x_mm), (move.y_mm, here.y_mm), (move.z_mm, here.z_mm))
        spans = [self._envelope.longest_mm if b is None else abs(a - b) for a, b in pairs if a is not None]
        return sum(spans) / move.feed_mm_min * 60.0 + SPEED_UP_S

    async def finish(self, expected_s: float) -> None:
        """Return once all moves are finished; a machine without such a block is given the time it needs."""
        replies = await self.ask(c.FINISH_MOVES, expected_s)
        if any(isinstance(reply, UnknownCommand) for reply in replies):
            await asyncio.sleep(expected_s)

    async def _confirm_position(self) -> None:
        wanted, told = self._envelope.position_mm(), None
        for _ in range(POSITION_TRIES):
            told = await self.position()
            if wanted is None or told is None or _agree(wanted, told):
                return
        self._envelope.forget("it stood elsewhere than it was sent")
        raise PrinterFault(
            f"The machine says it stands at {told}, not at {wanted}. Home it again.", self._line.exchange()
        )

    async def agreed_position(self) -> XYZ | None:
        """Return where the machine says twice running that it stands; None where it does not tell."""
        before = await self.position()
        for _ in range(POSITION_TRIES):
            after = await self.position()
            if before is None or (after is not None and _agree(before, after)):
                return after
            before = after
        return None

    async def position(self) -> XYZ | None:
        """Return where the machine says that it stands; None where it does not tell."""
        for reply in reversed(await self.ask(c.TELL_POSITION)):
            told = reply.rest if isinstance(reply, Ok) else reply
            if isinstance(told, Position):
                return (told.x_mm, told.y_mm, told.z_mm)
        return None


def _agree(a: XYZ, b: XYZ) -> bool:
    return all(abs(p - q) <= AGREE_MM for p, q in zip(a, b, strict=True))


def free_texts(replies: Sequence[Reply]) -> list[str]:
    """Return the lines in which a machine tells something in its own way."""
    known = Ok | Blank | Busy | Capability | UnknownCommand
    return [reply.text for reply in replies if not isinstance(reply, known)]
