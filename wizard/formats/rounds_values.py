"""The values of a ROUNDS file, checked one by one against the machine they are of. Pure."""

from __future__ import annotations

import math

from profiles.faults import nearest, shown
from profiles.machine import Machine
from wizard.rounds import Reading

LARGEST_GAP_MM = 20.0
MOST_TURNS = 1000.0


class RoundsFault(Exception):
    """The rest of a sentence after the file's name: place, value, what is allowed."""


def number(place: str, value: object, limit: float, unit: str) -> float:
    """Return `value` where it is a finite number within +-limit. Raises RoundsFault."""
    allowed = f"must be a number from {-limit:g} to {limit:g} {unit}"
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise RoundsFault(f"{place} is {_json_shown(value)}, but {allowed}")
    if not math.isfinite(value) or abs(value) > limit:
        raise RoundsFault(f"{place} is {shown(value)}, but {allowed}")
    return float(value)


def reading(place: str, low: object, high: object) -> Reading:
    """Return the bracket; None is an open side, and both cannot be. Raises RoundsFault."""
    if low is None and high is None:
        raise RoundsFault(f"{place} has neither low nor high, but must have one at least")
    low_mm = None if low is None else number(f"{place}, low", low, LARGEST_GAP_MM, "mm")
    high_mm = None if high is None else number(f"{place}, high", high, LARGEST_GAP_MM, "mm")
    if low_mm is not None and high_mm is not None and low_mm > high_mm:
        raise RoundsFault(
            f"{place} has low {low_mm:g} above high {high_mm:g}, but low must not be above high"
        )
    return Reading(low_mm, high_mm)


def exact(place: str, gap: object) -> Reading:
    """Return the bracket of a gap known as one number. Raises RoundsFault."""
    gap_mm = number(f"{place}, gap", gap, LARGEST_GAP_MM, "mm")
    return Reading(gap_mm, gap_mm)


def check_point(place: str, name: str, machine: Machine) -> None:
    """Raise RoundsFault unless the machine has a point called `name`."""
    names = tuple(point.name for point in machine.point)
    if name not in names:
        raise RoundsFault(f"{place}: {shown(name)} is no point of this machine; {nearest(name, names)}")


def check_adjuster(place: str, name: str, machine: Machine) -> None:
    """Raise RoundsFault unless the machine has an adjuster called `name` that can be turned."""
    names = tuple(adjuster.name for adjuster in machine.adjuster if adjuster.kind != "fixed")
    if not names:
        raise RoundsFault(f"{place}: {shown(name)} was turned, but this machine has no adjuster to turn")
    if name not in names:
        raise RoundsFault(f"{place}: {shown(name)} is no adjuster of this machine; {nearest(name, names)}")


def _json_shown(value: object) -> str:
    return "null" if value is None else "an object" if isinstance(value, dict) else shown(value)
