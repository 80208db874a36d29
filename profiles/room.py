"""Where on a plate something may be laid down: inside its border and the axes' limits, off clips. Pure.

A rectangle and a disc are convex, so a straight line is inside where both of its ends are.
"""

from __future__ import annotations

from math import dist

from profiles.machine import XY, Machine
from profiles.printed import KeepOut

SAME_MM = 0.0005


def is_free(machine: Machine, start_mm: XY, end_mm: XY, reach_mm: float = 0.0) -> bool:
    """Tell whether all that lies up to `reach_mm` beside a straight line may be laid down on.

    Without [print] in the profile nothing may.
    """
    if machine.print is None:
        return False
    inside = all(_inside(machine, at, reach_mm) for at in (start_mm, end_mm))
    return inside and not any(_crosses(place, start_mm, end_mm, reach_mm) for place in machine.print.keep_out)


def is_free_square(machine: Machine, at_mm: XY, half_mm: float, reach_mm: float = 0.0) -> bool:
    """Tell whether a whole square, and what lies up to `reach_mm` beside it, may be laid down on."""
    if machine.print is None:
        return False
    x, y = at_mm
    corners = [(x + a * half_mm, y + b * half_mm) for a in (-1, 1) for b in (-1, 1)]
    away_mm = half_mm + reach_mm - SAME_MM
    return all(_inside(machine, corner, reach_mm) for corner in corners) and not any(
        place.x_mm[0] < x + away_mm
        and place.x_mm[1] > x - away_mm
        and place.y_mm[0] < y + away_mm
        and place.y_mm[1] > y - away_mm
        for place in machine.print.keep_out
    )


def centre_mm(machine: Machine) -> XY:
    """Return the middle of the plate, machine coordinates."""
    bed = machine.bed
    width, depth = bed.size_mm or (0.0, 0.0)
    x, y = bed.origin_mm
    return (x, y) if bed.shape == "round" else (x + width / 2.0, y + depth / 2.0)


def half_mm(machine: Machine) -> XY:
    """Return half of the plate's size along X and Y; of a round one its radius, twice."""
    bed = machine.bed
    if bed.shape == "round":
        radius = (bed.diameter_mm or 0.0) / 2.0
        return radius, radius
    width, depth = bed.size_mm or (0.0, 0.0)
    return width / 2.0, depth / 2.0


def _inside(machine: Machine, at_mm: XY, reach_mm: float) -> bool:
    limits = (machine.motion.x_mm, machine.motion.y_mm)
    if not all(low <= value <= high for value, (low, high) in zip(at_mm, limits, strict=True)):
        return False
    assert machine.print is not None
    border_mm = machine.print.margin_mm + reach_mm - SAME_MM
    centre, half = centre_mm(machine), half_mm(machine)
    if machine.bed.shape == "round":
        return dist(at_mm, centre) <= half[0] - border_mm
    return all(abs(at_mm[axis] - centre[axis]) <= half[axis] - border_mm for axis in (0, 1))


def _crosses(place: KeepOut, start_mm: XY, end_mm: XY, reach_mm: float) -> bool:
    """Tell whether a line comes nearer than `reach_mm` to a rectangle (each side moved out by that).

    The line's part inside the slab of each axis is kept, in shares of its length; none left: no crossing.
    """
    first, last = 0.0, 1.0
    for axis, (low, high) in enumerate((place.x_mm, place.y_mm)):
        near, far = low - reach_mm + SAME_MM, high + reach_mm - SAME_MM
        start, way = start_mm[axis], end_mm[axis] - start_mm[axis]
        if way == 0.0:
            if not near < start < far:
                return False
            continue
        enters, leaves = sorted(((near - start) / way, (far - start) / way))
        first, last = max(first, enters), min(last, leaves)
    return first < last
