"""Heaters of the first order: full power up to the target, then held; cooling towards the room.

Closed formulas, so that a temperature at any later time is one step away. Times in s, degrees Celsius.
"""

from __future__ import annotations

from math import exp, inf, log

ROOM_C = 22.0
REACHED_C = 0.5
SOAK_SHARE = 1.0 / 60.0  # of the difference, a second: the plate follows its sensor by about a minute


class Heater:
    """One heater with its sensor. `limit_c`: the highest target that the machine takes.

    full_c: where full power would end. time_s: the time constant. `dead` heaters never warm.
    """

    def __init__(self, limit_c: float, full_c: float, time_s: float) -> None:
        self.limit_c = limit_c
        self.target_c = 0.0
        self.dead = False
        self._full_c = full_c
        self._time_s = time_s
        self._since = 0.0
        self._was_c = ROOM_C

    def at(self, now: float) -> float:
        """Return the temperature at `now`, not earlier than the last `set`."""
        elapsed = max(0.0, now - self._since)
        target = self._aim_c()
        if target >= self._was_c:
            return min(target, self._towards(self._full_c, elapsed))
        return max(target, self._towards(ROOM_C, elapsed))

    def set(self, target_c: float, now: float) -> None:
        """Set the target; 0 is off."""
        self._was_c, self._since = self.at(now), now
        self.target_c = target_c

    def reached(self, now: float) -> bool:
        """Whether the target is reached from below or above, or nothing is wanted."""
        return self.target_c <= 0.0 or abs(self.at(now) - self.target_c) <= REACHED_C

    def hot_enough(self, now: float) -> bool:
        """Whether it is at least as warm as wanted."""
        return self.target_c <= 0.0 or self.at(now) >= self.target_c - REACHED_C

    def due(self, now: float) -> float:
        """Return when the target will be reached; inf if never, `now` if it is."""
        if self.reached(now):
            return now
        if self.dead:
            return inf
        goal = self._full_c if self.target_c > self._was_c else ROOM_C
        aim = self.target_c + (-REACHED_C if self.target_c > self._was_c else REACHED_C) * 0.99
        share = (aim - goal) / (self._was_c - goal)
        return inf if share <= 0.0 else max(now, self._since - self._time_s * log(share))

    def _aim_c(self) -> float:
        return ROOM_C if self.dead or self.target_c <= 0.0 else max(self.target_c, ROOM_C)

    def _towards(self, end_c: float, elapsed: float) -> float:
        return end_c + (self._was_c - end_c) * exp(-elapsed / self._time_s)


class Soaking:
    """A plate that follows its heater's sensor with a lag, worked out on a fixed grid of seconds, so that
    it does not matter how often it is asked."""

    def __init__(self, heater: Heater) -> None:
        self._heater = heater
        self._second = 0
        self._c = ROOM_C

    def at(self, now: float) -> float:
        """Return the plate's temperature at the last whole second. Ask before the heater is set anew."""
        while self._second + 1 <= now:
            self._second += 1
            self._c += SOAK_SHARE * (self._heater.at(self._second) - self._c)
        return self._c


def bed_heater(limit_c: float) -> Heater:
    """A plate of some 200 mm: 22 to 60 degrees in about five minutes."""
    return Heater(limit_c, full_c=max(130.0, limit_c + 15.0), time_s=690.0)


def nozzle_heater(limit_c: float) -> Heater:
    """A nozzle: 22 to 200 degrees in about two minutes."""
    return Heater(limit_c, full_c=max(330.0, limit_c + 40.0), time_s=145.0)
