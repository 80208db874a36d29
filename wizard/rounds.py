"""Readings and rounds: the facts that the solver is given.

A reading is a bracket on one gap in mm at the measuring height; either side may be open.
A gap may be negative: the nozzle would stand inside the plate at the measuring height.
"""

from __future__ import annotations

from typing import Literal

import msgspec

How = Literal["leaf", "feel", "probe", "given"]


class Reading(msgspec.Struct, frozen=True, omit_defaults=True):
    """What is known of one gap: low_mm <= gap <= high_mm; None is an open side."""

    low_mm: float | None = None
    high_mm: float | None = None
    how: How = "given"

    def shifted(self, mm: float) -> Reading:
        """Return the same reading for a nozzle that stands `mm` higher."""
        return Reading(
            None if self.low_mm is None else self.low_mm + mm,
            None if self.high_mm is None else self.high_mm + mm,
            self.how,
        )


class Round(msgspec.Struct, frozen=True, omit_defaults=True):
    """One pass: readings by point name, then what was changed after them.

    `turned` is turns by adjuster name, clockwise positive as seen from the side the profile names.
    `height_change_mm` is how far the nozzle was raised (+) against the plate by the height setting.
    A round may follow another with nothing turned between: both then see the same plate.
    """

    readings: dict[str, Reading] = {}
    turned: dict[str, float] = {}
    height_change_mm: float = 0.0
