"""A section through the bed: the plate's surface against the wanted gap, along a row of points. Values; pure.

Deviations are mm of gap from the wanted one: + is too wide, the plate lies too low there.
"""

from __future__ import annotations

import msgspec

from profiles.machine import Machine, Point
from wizard.facts import Facts
from wizard.solver.finding import Finding, PointFinding
from wizard.widgets.bed_drawing import extents

SAME_ROW = 0.15
"""Points that far apart, as a share of the bed's size, still lie in one row."""

Bounds = tuple[float | None, float | None]


class Place(msgspec.Struct, frozen=True):
    """A point on the section: how far along it, mm, and between which deviations its gap lies, mm."""

    name: str
    along_mm: float
    low_mm: float | None
    high_mm: float | None

    @property
    def middle_mm(self) -> float | None:
        """The middle of the bounds; None where a side is open."""
        if self.low_mm is None or self.high_mm is None:
            return None
        return (self.low_mm + self.high_mm) / 2


class Section(msgspec.Struct, frozen=True):
    """What one drawing shows. words: where it runs; length_mm: of the bed along it; places: along it."""

    words: str
    length_mm: float
    places: tuple[Place, ...]


def known_of(facts: Facts, finding: Finding | None) -> dict[str, Bounds]:
    """Return between which deviations each gap lies: by the finding (U = 2u), else by the readings."""
    wanted_mm = facts.machine.wanted_gap_mm
    if finding is not None and finding.points:
        return {name: _bounds(point) for name, point in finding.points.items()}
    return {
        name: (_less(reading.low_mm, wanted_mm), _less(reading.high_mm, wanted_mm))
        for name, reading in facts.readings.items()
    }


def _bounds(point: PointFinding) -> Bounds:
    return point.deviation_mm - 2 * point.u_mm, point.deviation_mm + 2 * point.u_mm


def _less(gap_mm: float | None, wanted_mm: float) -> float | None:
    return None if gap_mm is None else gap_mm - wanted_mm


def sections(machine: Machine, known: dict[str, Bounds], current: str | None) -> tuple[Section, ...]:
    """Return a section from left to right and one from front to back, where two points of a row are known."""
    made = (_section(machine, known, current, axis) for axis in (0, 1))
    return tuple(each for each in made if each is not None)


def _section(machine: Machine, known: dict[str, Bounds], current: str | None, axis: int) -> Section | None:
    rows = [row for row in _rows(machine, known, axis) if len(row) > 1]
    if not rows:
        return None
    row = next((row for row in rows if any(p.name == current for p in row)), max(rows, key=len))
    low, high = extents(machine)
    way = ("left to right", "front to back")[axis]
    places = (Place(p.name, p.at_mm[axis] - low[axis], *known[p.name]) for p in row)
    return Section(
        f"{way} at {_named(row, current)}",
        high[axis] - low[axis],
        tuple(sorted(places, key=lambda place: place.along_mm)),
    )


def _named(row: list[Point], current: str | None) -> str:
    return next((point.name for point in row if point.name == current), row[0].name)


def _rows(machine: Machine, known: dict[str, Bounds], axis: int) -> list[list[Point]]:
    """Return the known points in rows along an axis (0: x)."""
    low, high = extents(machine)
    near_mm = SAME_ROW * (high[1 - axis] - low[1 - axis])
    rows: list[list[Point]] = []
    for point in (p for p in machine.point if p.name in known):
        across = point.at_mm[1 - axis]
        row = next((row for row in rows if abs(row[0].at_mm[1 - axis] - across) <= near_mm), None)
        if row is None:
            rows.append([point])
        else:
            row.append(point)
    return rows
