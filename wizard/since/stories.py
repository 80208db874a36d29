"""The stories of what may have happened since a proven run, each as a spread of the gaps.

All standard uncertainties in mm. Where no source is named the figure is common practice, without a
source; only its order of magnitude matters.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from wizard.solver.layout import Layout
from wizard.solver.leastsquares import Array

HEIGHT_MM = 0.3  # another nozzle, or the same one screwed in anew
SETTLE_MM = 0.003  # what each support and the tilt change by anyway in some weeks
ROUGH_MM = 0.002  # each point by itself: dirt, texture
TILT_MM = 0.12  # height at the edge by tilt, each direction, where the plate has moved
DRIFT_MM = 0.15  # one adjuster that has come loose
SLIPPED_MM = 0.15  # a reading that has slipped

MOVED = 0.12  # the plate has moved, shared by tilt and single adjusters
SLIPPED = 0.01  # for each reading

LEAST = 3
"""Points that fix a plane."""

StoryKind = Literal["height", "tilt", "slip"]


@dataclass(frozen=True, eq=False)
class Story:
    """One story: its kind, what it is about, its share before any reading, its spread of the gaps (n, n).

    slipped: the row of the point whose reading is taken as slipped.
    """

    kind: StoryKind
    about: str
    share: float
    spread: Array
    slipped: int | None = None


def stories(layout: Layout, read: list[int]) -> list[Story]:
    """Return all stories, given the rows of the points read; the first is that only the height changed."""
    usual = _usual(layout)
    moved = _moves(layout)
    share = MOVED / len(moved)
    slips = [Story("slip", layout.points[row], SLIPPED, usual, row) for row in read]
    tilts = [Story("tilt", name, share, usual + spread) for name, spread in moved]
    left = 1.0 - MOVED - SLIPPED * len(slips)
    return [Story("height", "", left, usual), *tilts, *slips]


def _usual(layout: Layout) -> Array:
    """Height changed by anything, all else by what always happens."""
    n = len(layout.points)
    small = sum(spread for _, spread in _moves(layout)) * (SETTLE_MM / DRIFT_MM) ** 2
    whole: Array = np.full((n, n), HEIGHT_MM**2) + small + ROUGH_MM**2 * np.eye(n)
    return whole


def _moves(layout: Layout) -> list[tuple[str, Array]]:
    """Return how the gaps spread where the whole plate tilts, and where each single adjuster moves."""
    uv = layout.uv
    tilt: Array = TILT_MM**2 * (uv @ uv.T)
    influence = layout.plane + layout.share[0] * layout.bend
    single = [
        (name, DRIFT_MM**2 * np.outer(influence[:, j], influence[:, j]))
        for j, name in enumerate(layout.adjusters)
    ]
    return [("", tilt), *single]
