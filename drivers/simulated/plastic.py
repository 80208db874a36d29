"""Plastic on the simulated plate: what was laid down where, and what a pad of it is like.

Volume is kept: what goes in as filament lies between nozzle and plate as far as that gap holds it. Lines
that are pressed flat are as thick as the gap. With more plastic than the gap holds, a part of the rest stands
up in ridges; with less, lines stay apart; where the gap is wider than a free strand nothing presses them and
nothing sticks; where there is hardly any gap nothing comes out. Lengths in mm; nothing of the wizard's model.
"""

from __future__ import annotations

from math import dist, log, pi, sqrt
from typing import Literal, NamedTuple, Protocol

import numpy as np

XY = tuple[float, float]
XYZ = tuple[float, float, float]

WINDOW_MM = 4.0  # half a side of the square that is looked at about the middle of a pad
RIDGE_SHARE = 0.15  # of what the gap does not hold; the rest flows sideways (a guess, no source)
BLOCKED_MM = 0.02  # in a narrower gap nothing comes out: the filament is ground (common practice, no source)
TEXTURE_SD_MM = 0.004  # of a first layer's thickness from pad to pad (a guess, no source)
Look = Literal[1, 2, 3, 4, 5]
LOOKS: tuple[Look, ...] = (1, 2, 3, 4, 5)
EDGES = (0.62, 0.88, 1.25, 2.2)  # how full the gap is, where one look goes over into the next
_LOOK_SD = 0.05  # of the logarithm of how full it looks


class Gaps(Protocol):
    """The plate, as far as plastic is concerned."""

    def gap_at(self, x: float, y: float, z: float) -> float:
        """Return the gap under a nozzle; inf beside the plate."""


class Line(NamedTuple):
    """One line as laid down: ends, its volume in mm3, and the gap it was pressed into."""

    start_mm: XY
    end_mm: XY
    volume_mm3: float
    gap_mm: float


class Sample(NamedTuple):
    """A pad about its middle. per_area_mm: volume over area; strand_mm: thickness of a free strand."""

    gap_mm: float
    per_area_mm: float
    strand_mm: float

    @property
    def fullness(self) -> float:
        """How full the gap is: 1 where lines just meet."""
        return self.per_area_mm / max(self.gap_mm, 1e-6)

    @property
    def loose(self) -> bool:
        """Whether nothing pressed the lines to the plate."""
        return self.gap_mm >= 0.98 * self.strand_mm

    @property
    def thick_mm(self) -> float:
        """Thickness between the jaws of a caliper, texture apart."""
        if self.gap_mm < BLOCKED_MM:
            return 0.0
        if self.loose:
            return self.strand_mm
        return self.gap_mm + RIDGE_SHARE * max(self.per_area_mm - self.gap_mm, 0.0)


class Plastic:
    """All that lies on the plate. `wipe` takes it off; what is laid down then is new."""

    def __init__(self, seed: int, filament_diameter_mm: float) -> None:
        self.lines: list[Line] = []
        self._rng = np.random.default_rng([seed, 9])
        self._section_mm2 = pi * filament_diameter_mm**2 / 4.0
        self._texture: dict[XY, tuple[float, float]] = {}

    def lay(self, plate: Gaps, start_mm: XYZ, end_mm: XYZ, filament_mm: float) -> None:
        """Lay one line down, as homed and as warm as the plate is now."""
        x, y, z = ((a + b) / 2.0 for a, b in zip(start_mm, end_mm, strict=True))
        volume = filament_mm * self._section_mm2
        self.lines.append(Line(start_mm[:2], end_mm[:2], volume, plate.gap_at(x, y, z)))

    def wipe(self) -> None:
        """Take everything off."""
        self.lines.clear()
        self._texture.clear()

    def sample(self, at_mm: XY) -> Sample | None:
        """Return what lies about a place; None where nothing does."""
        parts = [(line, _share_near(line, at_mm)) for line in self.lines]
        parts = [(line, share) for line, share in parts if share > 0.0 and line.gap_mm < 10.0]
        volume = sum(share * line.volume_mm3 for line, share in parts)
        way_mm = sum(share * dist(line.start_mm, line.end_mm) for line, share in parts)
        if volume <= 0.0 or way_mm <= 0.0:
            return None
        gap_mm = sum(share * line.volume_mm3 * line.gap_mm for line, share in parts) / volume
        strand_mm = 2.0 * sqrt(volume / way_mm / pi)
        return Sample(gap_mm, volume / (2.0 * WINDOW_MM) ** 2, strand_mm)

    def thick_mm(self, at_mm: XY) -> float | None:
        """Return how thick a pad is at its middle, its texture counted in; None where there is none."""
        sample = self.sample(at_mm)
        if sample is None or sample.thick_mm <= 0.0:
            return None
        return max(sample.thick_mm + self._own(at_mm)[0], 0.005)

    def look(self, at_mm: XY) -> Look | None:
        """Return how a pad looks, 1 (lines apart, loose) to 5 (scraped); None where nothing was laid down."""
        sample = self.sample(at_mm)
        if sample is None:
            return None
        if sample.gap_mm < BLOCKED_MM:
            return 5
        seen = log(sample.fullness) + self._own(at_mm)[1]
        return 1 if sample.loose else LOOKS[sum(seen > log(edge) for edge in EDGES)]

    def _own(self, at_mm: XY) -> tuple[float, float]:
        """Return this pad's texture and how it strikes the eye: the same until it is wiped off."""
        if at_mm not in self._texture:
            thick, eye = self._rng.normal(0.0, 1.0, 2)
            self._texture[at_mm] = (TEXTURE_SD_MM * float(thick), _LOOK_SD * float(eye))
        return self._texture[at_mm]


def _share_near(line: Line, at_mm: XY) -> float:
    """Return which share of a line's length lies in the window about a place."""
    first, last = 0.0, 1.0
    for axis in (0, 1):
        start, way = line.start_mm[axis] - at_mm[axis], line.end_mm[axis] - line.start_mm[axis]
        if abs(way) < 1e-9:
            if abs(start) > WINDOW_MM:
                return 0.0
            continue
        enters, leaves = sorted(((-WINDOW_MM - start) / way, (WINDOW_MM - start) / way))
        first, last = max(first, enters), min(last, leaves)
    return max(last - first, 0.0)
