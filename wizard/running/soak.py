"""The soak clock: lets a plate take its shape at temperature, tells how long still, can be cut short.

It knows when the plate has rested, too, where a person has cut the soak short and gone on.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable

from wizard.requests import CUT_SHORT, Done, Soak
from wizard.running.events import Event, SoakTick

TICK_S = 1.0
LEAST_NAP_S = 0.05
"""A screen has no use for more than twenty ticks a second, however fast a simulated clock runs."""


class SoakClock:
    """Counts the soak down; `speed` is how many seconds of soak pass in one second."""

    def __init__(self, speed: float, tell: Callable[[Event], None]) -> None:
        self._speed = speed
        self._tell = tell
        self._cut: asyncio.Event | None = None
        self._rested_at_s: float | None = None

    @property
    def rested(self) -> bool:
        """Tell whether the plate has been warm for as long as it takes to rest, cut short or not."""
        return self._rested_at_s is not None and _now_s() >= self._rested_at_s

    def warmed(self, minutes: float) -> None:
        """The plate is warm from now on, and takes so long to rest."""
        self._rested_at_s = _now_s() + 60.0 * minutes / self._speed

    def cooled(self) -> None:
        """The plate is warm no more, or nobody knows."""
        self._rested_at_s = None

    @property
    def running(self) -> bool:
        """Tell whether a soak is under way."""
        return self._cut is not None

    def cut_short(self) -> None:
        """End the soak now."""
        if self._cut is not None:
            self._cut.set()

    async def soak(self, request: Soak) -> Done:
        """Return when the time is over, or was cut short."""
        self._cut = asyncio.Event()
        self.warmed(request.minutes)
        try:
            return await self._count(60.0 * request.minutes, self._cut)
        finally:
            self._cut = None

    async def _count(self, total_s: float, cut: asyncio.Event) -> Done:
        tick_s = max(TICK_S, LEAST_NAP_S * self._speed)
        left_s = total_s
        while left_s > 0.0:
            self._tell(SoakTick(left_s, total_s))
            now_s = min(tick_s, left_s)
            try:
                await asyncio.wait_for(cut.wait(), now_s / self._speed)
            except TimeoutError:
                left_s -= now_s
            else:
                return Done(CUT_SHORT)
        self._tell(SoakTick(0.0, total_s))
        return Done()


def _now_s() -> float:
    return asyncio.get_running_loop().time()
