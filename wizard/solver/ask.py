"""Which point to read next, and with which leaf to start: from what is known, the reading that tells most."""

from __future__ import annotations

from math import isfinite

import numpy as np

from profiles.machine import Gauge
from wizard.solver import priors
from wizard.solver.estimate import Known
from wizard.solver.finding import Ask
from wizard.solver.leastsquares import Array

_LEAST_MM = 2e-4  # a reading that brings no more than this is not worth a question


def questions(known: Known, gauge: Gauge, reading_mm: float) -> tuple[Ask, ...]:
    """Return the points worth reading, the most useful first.

    reading_mm: expanded uncertainty of one reading with the gauge at hand. What counts is by how much the
    intervals of all points reach beyond the tolerance; each reading narrows those of its neighbours too,
    so a point that the others foretell well enough is not asked for.
    """
    layout, state = known.state.layout, known.state
    leaves = [leaf for leaf in gauge.leaves_mm if isfinite(leaf)]
    return tuple(
        Ask(layout.points[i], float(state.gaps[i]), float(state.u[i]), _leaf(leaves, float(state.gaps[i])))
        for i in _most_telling(known, reading_mm / priors.COVERAGE)
    )


def _most_telling(known: Known, reading_u: float) -> list[int]:
    """Return rows, each the one whose reading narrows most after those before it were read."""
    state, layout = known.state, known.state.layout
    n = len(layout.points)
    covariance = state.covariance[:n, :n].copy()
    off = np.abs(state.gaps - layout.target_mm) - layout.tolerance_mm
    order: list[int] = []
    noise = reading_u**2
    now = float(_beyond(off, covariance.diagonal()).sum())
    while now > _LEAST_MM and len(order) < n:
        variance = covariance.diagonal()
        after = variance - covariance * covariance / (variance + noise)[:, None]
        gain = (now - _beyond(off, after).sum(axis=1)).round(6)
        gain[order] = -1.0
        best = int(gain.argmax())
        if gain[best] <= _LEAST_MM:
            break
        order.append(best)
        now -= float(gain[best])
        covariance -= covariance[:, best, None] * covariance[best] / (variance[best] + noise)
    return order


def _beyond(off: Array, variance: Array) -> Array:
    """Return by how much intervals reach beyond the tolerance, mm."""
    beyond: Array = np.maximum(off + priors.COVERAGE * np.sqrt(np.maximum(variance, 0.0)), 0.0)
    return beyond


def _leaf(leaves: list[float], gap_mm: float) -> float | None:
    """Return the thickest leaf that should still slide, the thinnest where none should."""
    if not leaves:
        return None
    return max((leaf for leaf in leaves if leaf <= gap_mm), default=min(leaves))
