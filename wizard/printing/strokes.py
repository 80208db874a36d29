"""The way of the nozzle while plastic comes out: a stroke is one unbroken line of straight parts. Pure.

A pad is one stroke: its outline, then a step inward, then to and fro. One more stroke comes first, along a
free edge, until the nozzle is full.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import dist

import msgspec

from profiles.machine import XY, Machine
from profiles.room import centre_mm, half_mm, is_free
from wizard.printing.extrusion import spacing_mm
from wizard.printing.pads import Pad

PURGE_MM = (60.0, 40.0, 25.0)
PURGE_FLOW = 1.8
"""So much more plastic than a line needs fills a nozzle soon."""

PURGE_FROM_PAD_MM = 2.0


class Stroke(msgspec.Struct, frozen=True):
    """Corners of the way, mm; flow: plastic laid down over what a line needs. name: what it is for."""

    name: str
    corners_mm: tuple[XY, ...]
    flow: float = 1.0

    @property
    def length_mm(self) -> float:
        """How long the way is."""
        return sum(dist(a, b) for a, b in pairwise(self.corners_mm))


def pad_stroke(machine: Machine, pad: Pad) -> Stroke:
    """Return the stroke of one pad."""
    assert machine.print is not None
    spacing = spacing_mm(machine.print, machine.first_layer)
    outline = (*pad.corners_mm, pad.corners_mm[0])
    return Stroke(pad.point, (*outline, *_fill(pad, spacing)))


def _fill(pad: Pad, spacing: float) -> Iterator[XY]:
    """Yield the corners of lines along X, from the front to the back, joined at alternate ends."""
    (x, y), inner = pad.at_mm, pad.half_mm - spacing
    for nth in range(pad.lines):
        row_y = y - inner + nth * spacing
        ends = ((x - inner, row_y), (x + inner, row_y))
        yield from ends if nth % 2 == 0 else ends[::-1]


def purge_stroke(machine: Machine, pads: tuple[Pad, ...]) -> Stroke | None:
    """Return the first stroke, as near to an edge as may be; None where there is no room for one."""
    assert machine.print is not None
    reach_mm = machine.print.line_width_mm
    for length_mm in PURGE_MM:
        for start, end in _edges(machine, length_mm):
            if is_free(machine, start, end, reach_mm) and not any(_meets(pad, start, end) for pad in pads):
                return Stroke("purge", (start, end), PURGE_FLOW)
    return None


def _edges(machine: Machine, length_mm: float) -> Iterator[tuple[XY, XY]]:
    """Yield lines along X at the front and the back, then along Y at the left and the right, going inward."""
    assert machine.print is not None
    (x, y), (half_x, half_y) = centre_mm(machine), half_mm(machine)
    border_mm = machine.print.margin_mm + machine.print.line_width_mm
    for inward in range(int(min(half_x, half_y))):
        for shift in (0.0, -half_x / 2.0, half_x / 2.0):
            left, right = x + shift - length_mm / 2.0, x + shift + length_mm / 2.0
            for side in (-1.0, 1.0):
                row = y + side * (half_y - border_mm - inward)
                yield (left, row), (right, row)
        for side in (-1.0, 1.0):
            column = x + side * (half_x - border_mm - inward)
            yield (column, y - length_mm / 2.0), (column, y + length_mm / 2.0)


def _meets(pad: Pad, start: XY, end: XY) -> bool:
    """Tell whether a line along an axis comes near a pad."""
    away_mm = pad.half_mm + PURGE_FROM_PAD_MM
    return all(
        min(start[axis], end[axis]) < pad.at_mm[axis] + away_mm
        and max(start[axis], end[axis]) > pad.at_mm[axis] - away_mm
        for axis in (0, 1)
    )
