"""The profile's limits: what lies outside them is refused, with the reason, and never cut short. Pure."""

from __future__ import annotations

import math

from drivers.errors import MoveRefused
from profiles.machine import XY

SAME_MM = 0.0005


def same(a_mm: float, b_mm: float) -> bool:
    """Tell whether two lengths are the same as they are written."""
    return abs(a_mm - b_mm) <= SAME_MM


def admit_inside(axis: str, value: float, limits: XY) -> None:
    """Raise MoveRefused unless a coordinate is inside an axis' limits."""
    if not math.isfinite(value) or not limits[0] <= value <= limits[1]:
        raise MoveRefused(f"{axis} {value:g} mm is outside the profile's {limits[0]:g} to {limits[1]:g} mm.")


def admit_heat(what: str, target_c: float, most_c: float) -> None:
    """Raise MoveRefused unless a heater may be set so hot."""
    if not math.isfinite(target_c) or not 0.0 <= target_c <= most_c:
        raise MoveRefused(f"{target_c:g} °C for the {what} is outside the profile's 0 to {most_c:g} °C.")
