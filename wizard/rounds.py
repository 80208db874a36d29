"""Readings and rounds: the facts that the solver is given.

A reading is a bracket on one gap in mm at the measuring height; either side may be open.
A gap may be negative: the nozzle would stand inside the plate at the measuring height.
"""

from __future__ import annotations

from typing import Literal

import msgspec

How = Literal["leaf", "feel", "probe", "given", "caliper", "micrometer", "look"]

SAME_MM = 0.005
"""Two readings of one gap belong together when they share at least this much; else the newer one holds."""


class Reading(msgspec.Struct, frozen=True, omit_defaults=True):
    """What is known of one gap: low_mm <= gap <= high_mm; None is an open side.

    early: it was taken although the soak had been cut short, so that the plate may still have moved.
    """

    low_mm: float | None = None
    high_mm: float | None = None
    how: How = "given"
    early: bool = False

    def shifted(self, mm: float) -> Reading:
        """Return the same reading for a nozzle that stands `mm` higher."""
        return Reading(
            None if self.low_mm is None else self.low_mm + mm,
            None if self.high_mm is None else self.high_mm + mm,
            self.how,
        )


def joined(known: Reading | None, newer: Reading) -> Reading:
    """Return what two readings of one gap say together; where they disagree the newer one holds."""
    if known is None:
        return newer
    lows = [low for low in (known.low_mm, newer.low_mm) if low is not None]
    highs = [high for high in (known.high_mm, newer.high_mm) if high is not None]
    low, high = max(lows, default=None), min(highs, default=None)
    if low is not None and high is not None and high - low < SAME_MM:
        return newer
    return Reading(low, high, newer.how)


class Round(msgspec.Struct, frozen=True, omit_defaults=True):
    """One pass: readings by point name, then what was changed after them.

    `turned` is turns by adjuster name, clockwise positive as seen from the side the profile names.
    `height_change_mm` is how far the nozzle was raised (+) against the plate by the height setting, and
    `height_u_mm` its standard uncertainty: 0 for a number in the machine, more for a screw turned by hand.
    `common_u_mm`: standard uncertainty of an error that all readings of the round share, and that of the
    rounds after it: what a touch is off by.
    A round may follow another with nothing turned between: both then see the same plate.
    """

    readings: dict[str, Reading] = {}
    turned: dict[str, float] = {}
    height_change_mm: float = 0.0
    height_u_mm: float = 0.0
    common_u_mm: float = 0.0
