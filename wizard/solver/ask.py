"""Which point to read next, and with which leaf to start: from what is known, the reading that tells most."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite

import numpy as np
import numpy.typing as npt

from profiles.machine import Gauge
from wizard.solver import priors
from wizard.solver.choose import Plan
from wizard.solver.estimate import Known
from wizard.solver.finding import Ask, Verdict
from wizard.solver.leastsquares import Array
from wizard.solver.state import State, turned

FORETOLD = 1.4  # an expanded uncertainty of no more than this share of the tolerance is well enough foretold
FORETOLD_LATER = 0.7  # the same after a turn: the next one is to be the last
_LEAST_MM = 2e-4  # a reading that brings no more than this is not worth a question


def questions(known: Known, plan: Plan, said: Verdict, gauge: Gauge, reading_mm: float) -> tuple[Ask, ...]:
    """Return the points worth reading, the most useful first.

    reading_mm: expanded uncertainty of one reading with the gauge at hand. What counts is by how much the
    intervals of all points reach beyond the tolerance; each reading narrows those of its neighbours too.
    Where something lies outside, it is by how much they would after the planned turns, and only such points
    are asked for that were not read since the last turn and that the others do not foretell well enough:
    all are read in the verification.
    """
    layout, state = known.state.layout, known.state
    leaves = [leaf for leaf in gauge.leaves_mm if isfinite(leaf)]
    return tuple(
        Ask(
            layout.points[i],
            float(state.gaps[i]),
            float(state.u[i]),
            _leaf(leaves, float(state.gaps[i])),
        )
        for i in _worth_reading(known, plan, said, reading_mm / priors.COVERAGE)
    )


def _worth_reading(known: Known, plan: Plan, said: Verdict, reading_u: float) -> list[int]:
    layout = known.state.layout
    if said != "outside" or not plan.turns.any():
        return _most_telling(known.state, np.flatnonzero(_open(known)).tolist(), reading_u)
    after = turned(known.state, plan.turns)
    share = FORETOLD_LATER if known.used.any() else FORETOLD
    vague = priors.COVERAGE * known.state.u > share * layout.tolerance_mm
    unread = [i for i in np.flatnonzero(~layout.proof_only).tolist() if i not in known.seen]
    return _most_telling(after, [i for i in unread if plan.coarse or vague[i]], reading_u)


def _open(known: Known) -> npt.NDArray[np.bool_]:
    """Return which points may be asked for: those that only prove not before all others are within."""
    layout, state = known.state.layout, known.state
    reach = np.abs(state.gaps - layout.target_mm) + priors.COVERAGE * state.u
    within = bool(np.all(reach[~layout.proof_only] <= layout.tolerance_mm))
    return ~layout.proof_only | within


def _most_telling(state: State, rows: Sequence[int], reading_u: float) -> list[int]:
    """Return some of the rows, each the one whose reading narrows most after those before it were read."""
    layout = state.layout
    n = len(layout.points)
    left_out = np.ones(n, dtype=bool)
    left_out[list(rows)] = False
    covariance = state.covariance[:n, :n].copy()
    off = np.abs(state.gaps - layout.target_mm) - layout.tolerance_mm
    order: list[int] = []
    noise = reading_u**2
    now = float(_beyond(off, covariance.diagonal()).sum())
    while now > _LEAST_MM and len(order) < len(rows):
        variance = covariance.diagonal()
        after = variance - covariance * covariance / (variance + noise)[:, None]
        gain = (now - _beyond(off, after).sum(axis=1)).round(6)
        gain[left_out] = -1.0
        best = int(gain.argmax())
        if gain[best] <= _LEAST_MM:
            break
        order.append(best)
        left_out[best] = True
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
