"""Watching one heater on its way to a target: reached, still coming, or not responding. Pure."""

from __future__ import annotations

import msgspec

from drivers.errors import PrinterFault
from drivers.interface import Temperatures
from drivers.replies import Heater, Temperature

NEAR_C = 1.0
CLOSE_C = 4.0
GAIN_C = 1.0
ABOVE_LIMIT_C = 15.0
MOST_SILENT_REPORTS = 5


def temperatures(told: Temperature) -> Temperatures:
    """Return what a report tells of the plate and of the nozzle (the first, where there are several)."""
    bed = told.heaters.get("B", Heater(None))
    nozzle = told.heaters.get("T", told.heaters.get("T0", Heater(None)))
    return Temperatures(bed.now_c, bed.target_c, nozzle.now_c, nozzle.target_c)


class HeaterRules(msgspec.Struct, frozen=True):
    """window_s: a heater must come nearer by `GAIN_C` within it. most_c: the profile's limit."""

    name: str
    most_c: float
    window_s: float = 120.0


class HeaterWatch:
    """Feed it each report; it answers whether the target is reached, or raises PrinterFault."""

    def __init__(self, rules: HeaterRules, target_c: float, now: float) -> None:
        self._rules = rules
        self._target_c = target_c
        self._silent = 0
        self._mark_c: float | None = None
        self._marked_at = now

    def reached(self, measured_c: float | None, now: float) -> bool:
        """Whether the heater is within `NEAR_C` of its target; measured_c is None where nothing was told."""
        if measured_c is None:
            self._count_silence()
            return False
        self._silent = 0
        if measured_c > self._rules.most_c + ABOVE_LIMIT_C:
            raise PrinterFault(
                f"The {self._rules.name} is at {measured_c:g} °C, above its limit of "
                f"{self._rules.most_c:g} °C. Switch the machine off."
            )
        self._check_gain(measured_c, now)
        return abs(measured_c - self._target_c) <= NEAR_C

    def _count_silence(self) -> None:
        self._silent += 1
        if self._silent >= MOST_SILENT_REPORTS:
            raise PrinterFault(f"The machine does not tell the temperature of the {self._rules.name}.")

    def _check_gain(self, measured_c: float, now: float) -> None:
        """Only heating is watched: how fast a part cools is not the machine's doing."""
        missing_c = self._target_c - measured_c
        if self._mark_c is None or missing_c <= CLOSE_C or measured_c >= self._mark_c + GAIN_C:
            self._mark_c, self._marked_at = measured_c, now
        elif now - self._marked_at > self._rules.window_s:
            raise PrinterFault(
                f"The {self._rules.name} does not heat: {measured_c:g} °C for {self._rules.window_s:g} s, "
                f"wanted {self._target_c:g} °C. Look at its heater and sensor before going on."
            )
