"""Laying a first layer down over a line: block after block, with progress, pause, and an eye on the heat.

One block is in flight, as always; the machine's own short queue keeps it moving meanwhile. A pause lifts the
nozzle once what was sent is done; going on continues with the very block that comes next.
"""

from __future__ import annotations

import asyncio
from collections import deque
from collections.abc import Sequence

from drivers import commands as c
from drivers.conversation import SPEED_UP_S, Conversation, Waits
from drivers.durations import seconds_each
from drivers.envelope import Envelope
from drivers.errors import MoveRefused, PrinterFault
from drivers.heating import MOST_SILENT_REPORTS
from drivers.interface import Progress, Watcher
from drivers.layer_rules import COLDER_C
from drivers.limits import SAME_MM
from drivers.own_words import Working
from drivers.warming import told_temperatures
from profiles.machine import Machine
from profiles.printed import Print

QUEUE = 32
"""No machine is known that takes in more moves than it has done by so many (common practice, no source)."""

TELL_EVERY_S = 0.2


class Laying:
    """Lays one layer down. `poll_s`: how often the machine is asked for its temperatures meanwhile."""

    def __init__(
        self, machine: Machine, talk: Conversation, envelope: Envelope, working: Working, waits: Waits
    ) -> None:
        self._machine = machine
        self._talk = talk
        self._envelope = envelope
        self._working = working
        self._poll_s = waits.poll_s
        self._nozzle_c = 0.0
        self._looked_at = 0.0
        self._held_s = 0.0
        self._last: deque[float] = deque(maxlen=QUEUE)

    @property
    def _ahead_s(self) -> float:
        """How long what was sent can still take."""
        return sum(self._last) + SPEED_UP_S

    async def run(self, blocks: Sequence[c.Command], nozzle_c: float, watcher: Watcher) -> None:
        """Lay it down. Raises MoveRefused before anything is sent where no layer is allowed, else as ever."""
        async with self._working(moving=True):
            start_mm = self._envelope.position_mm()
            if start_mm is None:
                raise MoveRefused("Where the nozzle stands is not known; home first.")
            self._envelope.begin_layer(nozzle_c)
            self._nozzle_c, self._held_s = nozzle_c, 0.0
            try:
                await self._look()
                await self._stream(blocks, seconds_each(blocks, start_mm), watcher)
            finally:
                self._envelope.end_layer()

    async def _stream(self, blocks: Sequence[c.Command], times: list[float], watcher: Watcher) -> None:
        began = told_at = _now()
        self._last.clear()
        total_s, done_s = sum(times), 0.0
        for nth, (block, block_s) in enumerate(zip(blocks, times, strict=True)):
            if watcher.held:
                await self._hold(watcher)
            self._last.append(block_s)
            await self._talk.ask(block, max(self._last) + SPEED_UP_S)
            done_s += block_s
            if _now() - self._looked_at >= self._poll_s:
                await self._look()
            if _now() - told_at >= TELL_EVERY_S:
                told_at = _now()
                pace = (told_at - began - self._held_s) / done_s if done_s else 1.0
                watcher.told(Progress(nth + 1, len(blocks), pace * (total_s - done_s)))
        await self._talk.finish(self._ahead_s)
        watcher.told(Progress(len(blocks), len(blocks), 0.0))

    async def _look(self) -> None:
        """Ask how hot the nozzle is. Raises PrinterFault where it is too cold, or nobody tells.

        An answer that a bad line has spoilt is asked for again.
        """
        for _ in range(MOST_SILENT_REPORTS):
            told = await told_temperatures(self._talk)
            if told.nozzle_c is not None:
                break
        self._looked_at = _now()
        self._envelope.heard_nozzle(told.nozzle_c)
        if told.nozzle_c is None:
            raise PrinterFault("The machine does not tell how hot the nozzle is; nothing is laid down.")
        if not told.nozzle_c >= self._nozzle_c - COLDER_C:
            raise PrinterFault(
                f"The nozzle has {told.nozzle_c:g} °C, the filament needs {self._nozzle_c:g} °C."
                " Look at its heater; take off what was laid down."
            )

    async def _hold(self, watcher: Watcher) -> None:
        """Draw back, lift, wait; then go down at the same place and push forward again."""
        began, here_mm = _now(), self._envelope.position_mm()
        await self._talk.finish(self._ahead_s)
        low = here_mm is not None and here_mm[2] < self._machine.motion.clearance_mm - SAME_MM
        back_mm = self._back_mm() if low else 0.0
        await self._push(-back_mm)
        await self._talk.run(self._envelope.plan_lift())
        await self._until_released(watcher)
        if low and here_mm is not None:
            await self._talk.run(self._envelope.plan_begin_line(here_mm[:2]))
        await self._push(back_mm)
        self._held_s += _now() - began

    def _back_mm(self) -> float:
        """Return how much filament can still be drawn back."""
        return max(self._part.retract_mm - self._envelope.drawn_back_mm, 0.0)

    async def _push(self, length_mm: float) -> None:
        if length_mm:
            feed = self._part.retract_feed_mm_min
            await self._talk.ask(c.Push(extrude_mm=length_mm, feed_mm_min=feed), 60.0 * abs(length_mm) / feed)

    @property
    def _part(self) -> Print:
        assert self._machine.print is not None
        return self._machine.print

    async def _until_released(self, watcher: Watcher) -> None:
        """Wait, and look after the heat meanwhile."""
        waiting = asyncio.ensure_future(watcher.released())
        try:
            while not waiting.done():
                await asyncio.wait([waiting], timeout=self._poll_s)
                await self._look()
        finally:
            waiting.cancel()


def _now() -> float:
    return asyncio.get_running_loop().time()
