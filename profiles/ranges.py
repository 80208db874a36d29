"""Checks that many keys share: a range, two limits, a name. Pure."""

from __future__ import annotations

from collections.abc import Iterator

from profiles.faults import Fault, shown, wrong
from profiles.machine import XY

LONGEST_NAME = 80


def between(key: str, value: float | None, low: float, high: float, unit: str) -> Iterator[Fault]:
    """Yield a fault unless `value` is left out or low <= value <= high."""
    if value is not None and not low <= value <= high:
        yield wrong(key, value, f"{shown(low)} to {shown(high)} {unit}")


def ascending(key: str, pair: XY) -> Iterator[Fault]:
    """Yield a fault unless the first of two limits lies below the second."""
    if not pair[0] < pair[1]:
        yield wrong(key, pair, "two limits, the lower first")


def name_faults(key: str, name: str) -> Iterator[Fault]:
    """Yield a fault unless `name` can be shown on one line and told from its neighbours."""
    if not name.strip() or not name.isprintable() or name != name.strip() or len(name) > LONGEST_NAME:
        yield wrong(
            key, name, f"1 to {LONGEST_NAME} characters that can be shown, with no space at either end"
        )
