"""The point nearest to the middle of the plate, where one reading says the most of the nozzle height."""

from __future__ import annotations

from math import dist

from profiles.machine import XY, Bed, Machine


def middle_point(machine: Machine) -> str:
    """Return the name of the profile's point nearest to the middle of the plate."""
    middle = middle_of(machine.bed)
    return min(machine.point, key=lambda point: round(dist(point.at_mm, middle), 6)).name


def middle_of(bed: Bed) -> XY:
    """Return the middle of the plate in machine coordinates."""
    x, y = bed.origin_mm
    width, depth = bed.size_mm or (0.0, 0.0)
    return (x, y) if bed.shape == "round" else (x + width / 2.0, y + depth / 2.0)
