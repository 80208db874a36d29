"""Where the pads come to lie: at each point, off edges and clips, moved or smaller where need be. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot

import msgspec

from profiles.machine import XY, Machine, Point
from profiles.room import centre_mm, is_free_square
from wizard.printing.extrusion import spacing_mm

FARTHEST_MM = 12.0
"""A pad farther from its point than this would tell of another place."""

LEAST_SIDE_MM = 8.0
"""The jaws of a caliper need so much."""

SHARES = (1.0, 0.75, 0.5)


class Pad(msgspec.Struct, frozen=True):
    """One square: its point, its middle, half the side of its outer line, and how many lines fill it."""

    point: str
    at_mm: XY
    half_mm: float
    lines: int

    @property
    def corners_mm(self) -> tuple[XY, XY, XY, XY]:
        """The corners of the outer line, from the front left one anticlockwise as seen from above."""
        (x, y), half = self.at_mm, self.half_mm
        return (x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)


class Layout(msgspec.Struct, frozen=True):
    """The pads that can be laid down, and the points for which there is no room."""

    pads: tuple[Pad, ...]
    without: tuple[str, ...] = ()


def layout(machine: Machine) -> Layout:
    """Return the pads of a machine that has [print], in the order of its points.

    Where a pad does not fit it is moved toward the plate's middle, then made smaller, then left out.
    """
    pads: list[Pad] = []
    without = []
    for point in machine.point:
        pad = next((pad for pad in _candidates(machine, point) if _fits(machine, pad, pads)), None)
        if pad is None:
            without.append(point.name)
        else:
            pads.append(pad)
    return Layout(tuple(pads), tuple(without))


def _candidates(machine: Machine, point: Point) -> Iterator[Pad]:
    part = machine.print
    assert part is not None
    for share in SHARES:
        side_mm = share * part.pad_mm
        if side_mm < LEAST_SIDE_MM and share != SHARES[0]:
            return
        for at_mm in _places(machine, point):
            yield _pad(machine, point.name, at_mm, side_mm)


def _places(machine: Machine, point: Point) -> Iterator[XY]:
    """Yield the point, then places farther and farther toward the middle, a millimetre each."""
    (x, y), (middle_x, middle_y) = point.at_mm, centre_mm(machine)
    to_x, to_y = middle_x - x, middle_y - y
    far = hypot(to_x, to_y)
    for mm in range(int(min(FARTHEST_MM, far)) + 1):
        share = mm / far if far else 0.0
        yield (round(x + share * to_x, 3), round(y + share * to_y, 3))


def _pad(machine: Machine, name: str, at_mm: XY, side_mm: float) -> Pad:
    """Return a pad of about `side_mm`: its half side is a whole number of half line spacings."""
    assert machine.print is not None
    spacing = spacing_mm(machine.print, machine.first_layer)
    lines = max(int(side_mm / spacing) - 2, 3)
    return Pad(name, at_mm, (lines + 1) * spacing / 2.0, lines)


def _fits(machine: Machine, pad: Pad, others: list[Pad]) -> bool:
    assert machine.print is not None
    reach_mm = machine.print.line_width_mm
    clear = is_free_square(machine, pad.at_mm, pad.half_mm, reach_mm)
    return clear and not any(_near(pad, other, 2.0 * reach_mm) for other in others)


def _near(pad: Pad, other: Pad, gap_mm: float) -> bool:
    least_mm = pad.half_mm + other.half_mm + gap_mm
    return all(abs(a - b) < least_mm for a, b in zip(pad.at_mm, other.at_mm, strict=True))


def every_pad(machine: Machine) -> dict[str, XY]:
    """Return where each pad lies, those at points to check by too; none without [print]."""
    if machine.print is None:
        return {}
    every = msgspec.structs.replace(machine, point=machine.every_point)
    return {pad.point: pad.at_mm for pad in layout(every).pads}
