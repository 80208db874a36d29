"""An adjuster seen from its side, with the turn to make as a thick arc that ends in an arrow. Pure.

The arc starts at the top and runs the way the hand goes; the rest of the circle is only dotted, so
the amount is seen by shape. More than a whole turn is a closed ring; the words tell how many.
"""

from __future__ import annotations

import math

from profiles.machine import Head
from wizard.widgets.canvas import Dots
from wizard.widgets.marks import Marks

# Shares of the radius, and the arrow's length along the arc.
_RING = 0.76
_ARC = 0.20
_ARROW_WIDTH = 0.56
_HEAD = 0.44
_ARROW = math.radians(40)


def draw_turn(turns: float, head: Head, rows: int, marks: Marks) -> list[str]:
    """Return `rows` lines of 2 x `rows` characters. `turns`: clockwise positive as seen."""
    size = 2 * rows
    dots = Dots(size, size)
    for x in range(size):
        for y in range(size):
            if _inked(*_polar(x, y, size), turns, head):
                dots.set(x, y)
    return dots.lines(marks)


def _polar(x: int, y: int, size: int) -> tuple[float, float]:
    """Return (radius, angle): radius 1 at the rim; angle clockwise from the top, 0 to 2 pi."""
    middle = (size - 1) / 2
    across, up = (x - middle) / middle, (middle - y) / middle
    return math.hypot(across, up), math.atan2(across, up) % (2 * math.pi)


def _inked(radius: float, angle: float, turns: float, head: Head) -> bool:
    if radius < _RING - _ARROW_WIDTH / 2:
        return _in_head(radius / _HEAD, angle, head)
    travelled = angle if turns > 0 else 2 * math.pi - angle
    swept = min(abs(turns), 1.0) * 2 * math.pi
    if travelled > swept:
        return _on_dotted_rim(radius, angle)
    left = (swept - travelled) / min(_ARROW, swept)
    width = _ARROW_WIDTH * left if left < 1.0 and abs(turns) < 1.0 else _ARC
    return abs(radius - _RING) <= width / 2


def _on_dotted_rim(radius: float, angle: float) -> bool:
    near = abs(((angle / (2 * math.pi)) * 16) % 1 - 0.5) < 0.22
    return near and abs(radius - _RING) <= 0.07


def _in_head(radius: float, angle: float, head: Head) -> bool:
    """Whether a place is inside the outline of the head; radius 1 reaches its widest part."""
    across, up = radius * math.sin(angle), radius * math.cos(angle)
    if head == "hex":
        return radius * math.cos((angle % (math.pi / 3)) - math.pi / 6) <= 0.86 and radius > 0.36
    if head == "wing nut":
        return radius <= 0.42 or (abs(up) <= 0.2 + 0.2 * abs(across) and abs(across) <= 1.0)
    if head == "slot":
        return radius <= 0.9 and abs(up) > 0.14
    ridges = 0.86 + 0.12 * math.cos(8 * angle)
    return radius <= ridges
