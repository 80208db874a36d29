"""How much higher a plate that nobody has levelled may stand at one point than at another.

It may be tilted as far as its screws allow, and bent besides. That bounds how low the nozzle may first stop
over a point that was not read yet, by the points that were. In a recheck the plate has once been level, but
the nozzle may be another. Pure.
"""

from __future__ import annotations

from profiles.machine import Machine, Point

TILT_MM = 2.5
"""From one end of the points to the other, by tilt and by a screw that stands far off the others. Two
millimetres from corner to corner is what people find (common practice, no source), and a half is kept."""

BENT_MM = 0.35
"""And so much more by bow, from the middle to a corner (common practice, no source)."""


MOVED_MM = 1.0
"""How much higher than at another a plate may stand at a point that was once proven level: one of its screws
has been turned twice since, which is an M3's millimetre (no source)."""

LONGER_MM = 2.0
"""How much longer than the nozzle before another one may be, where that plate is met again (no source)."""


def rise_mm(machine: Machine, read: Point, other: Point) -> float:
    """Return by how much at most the plate stands higher at `other` than at `read`, mm.

    A tilt along one axis shows whole between two ends of it, so that the longer share of the two counts.
    """
    shares = [abs(read.at_mm[axis] - other.at_mm[axis]) / _extent_mm(machine, axis) for axis in (0, 1)]
    return TILT_MM * min(1.0, max(shares)) + BENT_MM


def highest_mm(machine: Machine, over: Point) -> float:
    """Return how far above zero the plate may stand at a point while nothing was read, mm.

    Where the axes were homed the nozzle may have just met it, at whichever end of the plate that is.
    """
    return max(rise_mm(machine, point, over) for point in machine.point)


def _extent_mm(machine: Machine, axis: int) -> float:
    """Return how far apart the outermost points are along an axis, mm; where they are not, some distance."""
    along = [point.at_mm[axis] for point in machine.point]
    return max(max(along) - min(along), 1.0)
