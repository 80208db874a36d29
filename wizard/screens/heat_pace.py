"""How long a heat-up still takes, by the pace of the last half minute. Time is an argument."""

from __future__ import annotations

from collections import deque

from drivers.interface import Temperatures

WINDOW_S = 30.0
LEAST_S = 5.0
LEAST_RATE_C_S = 0.02
"""Slower than that is no heating up, and no estimate."""


class HeatPace:
    """Temperatures as they were seen: `see` them, then ask `left_s`."""

    def __init__(self) -> None:
        self._seen: deque[tuple[float, Temperatures]] = deque()

    def see(self, now_s: float, temperatures: Temperatures) -> None:
        """Keep what was seen in the last half minute."""
        self._seen.append((now_s, temperatures))
        while len(self._seen) > 2 and now_s - self._seen[1][0] >= WINDOW_S:
            self._seen.popleft()

    def left_s(self, bed_c: float, nozzle_c: float) -> float | None:
        """Return about how many seconds are left to these goals (0: not heated); None: not known."""
        if len(self._seen) < 2 or self._seen[-1][0] - self._seen[0][0] < LEAST_S:
            return None
        (start_s, start), (end_s, end) = self._seen[0], self._seen[-1]
        waits = (
            _left_s(start.bed_c, end.bed_c, bed_c, end_s - start_s),
            _left_s(start.nozzle_c, end.nozzle_c, nozzle_c, end_s - start_s),
        )
        return None if None in waits else max(wait for wait in waits if wait is not None)


def _left_s(before_c: float | None, now_c: float | None, goal_c: float, in_s: float) -> float | None:
    if goal_c <= 0.0 or (now_c is not None and now_c >= goal_c - 1.0):
        return 0.0
    if before_c is None or now_c is None:
        return None
    rate = (now_c - before_c) / in_s
    return (goal_c - now_c) / rate if rate >= LEAST_RATE_C_S else None


def left_words(left_s: float | None) -> str:
    """Return an estimate as it is said; "" for none."""
    if left_s is None or left_s <= 0.0:
        return ""
    minutes = round(left_s / 60.0)
    return f"about {minutes} min left" if minutes else "less than a minute left"
