"""One-sided brackets joined to what is known: each stands for a normal fact that has the same effect.

"More than this" cuts the distribution of a gap off; mean and variance of what is left are matched, one
fact after the other and over again until they agree (expectation propagation). A cut is never sharper
than the hand's repeatability, so no fact can claim more than a reading could.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from wizard.solver.brackets import Seen, truncated
from wizard.solver.leastsquares import Array

_ROUNDS = 20  # at most; a handful settles them
_SETTLED = 1e-3  # change in standard uncertainties from which on they have


def joined(mean: Array, covariance: Array, opened: Mapping[int, Seen], home_mm: float) -> tuple[Array, Array]:
    """Return mean (p,) and covariance (p, p) after one-sided brackets of the unknowns at the given rows."""
    mean, covariance = mean.copy(), covariance.copy()
    facts = dict.fromkeys(sorted(opened), (0.0, 0.0))
    for _ in range(_ROUNDS):
        before = mean.copy()
        for row, old in facts.items():
            blur = math.hypot(opened[row].hand, home_mm)
            facts[row] = _fact(float(mean[row]), float(covariance[row, row]), old, opened[row], blur)
            _change(mean, covariance, row, (facts[row][0] - old[0], facts[row][1] - old[1]))
        moved = np.abs(mean - before)
        if np.all(moved <= _SETTLED * np.sqrt(np.maximum(np.diagonal(covariance), 1e-18))):
            break
    return mean, (covariance + covariance.T) / 2.0


def _fact(
    mean: float, variance: float, old: tuple[float, float], bracket: Seen, blur: float
) -> tuple[float, float]:
    """Return precision and precision times mean of the normal fact for a bracket, given all the others."""
    precision = 1.0 / variance - old[0]
    if precision <= 1e-3 / variance:  # the others tell nothing that could be cut off
        return old
    others, spread = (mean / variance - old[1]) / precision, 1.0 / math.sqrt(precision)
    blurred = math.hypot(spread, blur)
    cut_mean, cut_sd = truncated(others, blurred, bracket.low, bracket.high)
    part = spread**2 / blurred**2
    left_mean = others + part * (cut_mean - others)
    left = spread**2 - part**2 * (blurred**2 - cut_sd**2)
    return max(1.0 / left - precision, 0.0), left_mean / left - others * precision


def _change(mean: Array, covariance: Array, row: int, more: tuple[float, float]) -> None:
    """Add a normal fact (precision, precision times mean) about one unknown, in place."""
    column = covariance[:, row].copy()
    scale = 1.0 / (1.0 + more[0] * column[row])
    mean += column * ((more[1] - more[0] * mean[row]) * scale)
    covariance -= np.outer(column, column) * (more[0] * scale)
