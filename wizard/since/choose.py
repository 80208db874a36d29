"""Which point to read next: the one after which what the plate may have done is known best.

The first few are chosen together, as many as a plane needs: for the worst of what may have happened, so
that no support's move stays unseen by all of them where the points allow that.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations

import numpy as np

from profiles.machine import Machine
from wizard.base import Base
from wizard.rounds import Round
from wizard.since.stories import LEAST
from wizard.since.weigh import Told, gap_covariance, usable, weigh
from wizard.solver.layout import layout_of
from wizard.solver.leastsquares import Array

READ_U_MM = 0.01  # what a reading is about worth

MOST_TOGETHER = 12
"""Among more points than this they are chosen one after another: too many sets would have to be weighed."""


def next_point(machine: Machine, base: Base, readings: Round) -> str | None:
    """Return the point whose reading tells most; None where all have been read."""
    layout = layout_of(machine)
    left = [row for row, name in enumerate(layout.points) if name not in readings.readings]
    if not left:
        return None
    told = weigh(machine, base, readings)
    size = min(max(LEAST - len(usable(layout, readings)), 1), len(left))
    if len(left) > MOST_TOGETHER:
        size = 1
    best = min(combinations(left, size), key=lambda rows: (round(_unknown_after(told, rows), 9), rows))
    first = min(best, key=lambda row: (round(_unknown_after(told, (row,)), 9), row))
    return layout.points[first]


def _unknown_after(told: list[Told], rows: Sequence[int]) -> float:
    """Return how likely some gap would be beyond tolerance by moving alone, once `rows` are read."""
    limit_mm = told[0].state.layout.tolerance_mm
    return sum(
        one.weight * math.erfc(limit_mm / math.sqrt(2.0 * _largest(gap_covariance(one.state), rows)))
        for one in told
        if one.story.kind == "tilt"
    )


def _largest(covariance: Array, rows: Sequence[int]) -> float:
    """Return the largest variance of a gap against the mean of all, once `rows` are read, mm^2."""
    at = list(rows)
    seen = covariance[np.ix_(at, at)] + READ_U_MM**2 * np.eye(len(at))
    after = covariance - covariance[:, at] @ np.linalg.solve(seen, covariance[at, :])
    apart = np.eye(len(covariance)) - 1.0 / len(covariance)
    return max(float(np.diagonal(apart @ after @ apart).max()), 1e-12)
