"""The linear Gaussian model, carried from round to round.

Unknowns, in this order: the gap of every point as it is now (n), what a turn of each adjuster really
does, relative to nominal (m), the share of a twist that the plate takes (1). Turns move the gaps by

    gap = gap - sum_j A_j k_j T_j,      A = A_plane + share A_bend

and readings narrow them, one home shift for each pass. Going through the rounds one after the other
gives the same as one weighted least-squares problem over all rounds with priors.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from wizard.solver import onesided, priors
from wizard.solver.brackets import Seen
from wizard.solver.layout import Layout
from wizard.solver.leastsquares import Array, least_squares


@dataclass(frozen=True, eq=False)
class State:
    """What is known now: mean (n + m + 1,) and covariance of the unknowns."""

    layout: Layout
    mean: Array
    covariance: Array
    sign: float = 1.0

    @property
    def gaps(self) -> Array:
        """Expected gap of every point, mm, (n,)."""
        return self.mean[: len(self.layout.points)]

    @cached_property
    def u(self) -> Array:
        """Standard uncertainty of every gap, mm, (n,)."""
        n = len(self.layout.points)
        return np.sqrt(np.maximum(self.covariance.diagonal()[:n], 0.0))

    @property
    def mm_per_turn(self) -> Array:
        """Raise of the plate at each adjuster for a clockwise turn, mm, signed, (m,)."""
        n, m = len(self.layout.points), len(self.layout.adjusters)
        return self.mean[n : n + m] * nominal(self.layout, self.sign)

    @property
    def share(self) -> float:
        """Share of a twist that the plate takes."""
        return float(self.mean[-1])

    @cached_property
    def effect(self) -> Array:
        """Rise of each point for one clockwise turn of each adjuster, mm, (n, m)."""
        return (self.layout.plane + self.share * self.layout.bend) * self.mm_per_turn


def nominal(layout: Layout, sign: float) -> Array:
    """Return nominal mm per turn, with unknown directions taken as `sign` times the usual one."""
    return np.where(layout.unknown_way, sign * layout.mm_per_turn, layout.mm_per_turn)


@lru_cache(maxsize=32)
def before(layout: Layout, sign: float = 1.0) -> State:
    """Return what is known before any reading; the same value for the same layout, never changed."""
    n, m = len(layout.points), len(layout.adjusters)
    mean = np.concatenate([np.full(n, layout.target_mm), np.ones(m), [layout.share[0]]])
    covariance = np.zeros((n + m + 1, n + m + 1))
    covariance[:n, :n] = _plate_prior(layout.uv)
    covariance[n : n + m, n : n + m] = priors.PITCH_COMMON**2 + np.diag(layout.spread**2)
    covariance[-1, -1] = layout.share[1] ** 2
    return State(layout, mean, covariance, sign)


def _plate_prior(uv: Array) -> Array:
    x, y = uv[:, 0], uv[:, 1]
    basis = np.column_stack([np.ones(len(uv)), x, y, x * y, x * x, y * y])
    sizes = np.array([priors.LEVEL_MM, priors.TILT_MM, priors.TILT_MM, priors.TWIST_MM] + 2 * [priors.BOW_MM])
    wide = (basis * sizes**2) @ basis.T
    apart = ((uv[:, None, :] - uv[None, :, :]) ** 2).sum(axis=2)
    smooth = priors.SMOOTH_MM**2 * np.exp(-apart / (2.0 * priors.SMOOTH_LENGTH**2))
    prior: Array = wide + smooth + priors.ROUGH_MM**2 * np.eye(len(uv))
    return prior


def turned(state: State, turns: Array, spread: Array | None = None) -> State:
    """Return the state after turns (m,), clockwise positive. spread: their uncertainty in turns (m,)."""
    layout = state.layout
    n, m = len(layout.points), len(layout.adjusters)
    if not turns.any():
        return state
    unit = nominal(layout, state.sign)
    influence = layout.plane + state.share * layout.bend
    rise = (influence * state.mm_per_turn) @ turns
    step = np.eye(n + m + 1)
    step[:n, n : n + m] = -influence * (unit * turns)
    step[:n, -1] = -(layout.bend * state.mm_per_turn) @ turns
    mean = state.mean.copy()
    mean[:n] -= rise
    covariance = step @ state.covariance @ step.T
    angle = np.where(turns != 0.0, layout.angle, 0.0) if spread is None else spread
    by_hand = influence * (state.mm_per_turn * angle)
    covariance[:n, :n] += by_hand @ by_hand.T + _influence_error(influence, state.mm_per_turn * turns)
    return State(layout, mean, (covariance + covariance.T) / 2.0, state.sign)


def _influence_error(influence: Array, raised: Array) -> Array:
    each = np.abs(influence * raised).sum(axis=1) * priors.INFLUENCE
    return np.diag(each**2)


def raised(state: State, nozzle_mm: float, u_mm: float = 0.0) -> State:
    """Return the state after the nozzle was raised by an amount known with standard uncertainty u_mm."""
    n = len(state.layout.points)
    mean, covariance = state.mean.copy(), state.covariance.copy()
    mean[:n] += nozzle_mm
    covariance[:n, :n] += u_mm**2
    return State(state.layout, mean, covariance, state.sign)


def read(state: State, seen: Mapping[int, Seen], home_mm: float = priors.HOME_MM) -> State:
    """Return the state after one pass of readings, by row of the point; home_mm: u of its home shift."""
    closed = {row: one for row, one in seen.items() if one.closed}
    opened = {row: one for row, one in seen.items() if not one.closed}
    after = _joined(state, _Facts.of(closed, home_mm)) if closed else state
    if not opened:
        return after
    mean, covariance = onesided.joined(after.mean, after.covariance, opened, home_mm)
    return State(state.layout, mean, covariance, state.sign)


class _Facts(NamedTuple):
    """Closed brackets as normal facts: rows of the points, middle, uncertainty (k,); home shift."""

    rows: npt.NDArray[np.intp]
    middle: Array
    u: Array
    home_mm: float

    @classmethod
    def of(cls, closed: Mapping[int, Seen], home_mm: float) -> _Facts:
        rows = sorted(closed)
        return cls(
            np.array(rows, dtype=np.intp),
            np.array([closed[row].middle for row in rows]),
            np.array([closed[row].u for row in rows]),
            home_mm,
        )


def _root(covariance: Array) -> Array:
    """Return (p, p), times its transpose the covariance; what rounding left below zero counts as zero."""
    try:
        return np.linalg.cholesky(covariance).astype(np.float64, copy=False)
    except np.linalg.LinAlgError:
        size = np.sqrt(np.maximum(np.diagonal(covariance), 0.0))
        scale = np.where(size > 0.0, size, 1.0)
        values, vectors = np.linalg.eigh(covariance / scale / scale[:, None])
        root: Array = scale[:, None] * vectors * np.sqrt(np.maximum(values, 0.0))
        return root


def _joined(state: State, facts: _Facts) -> State:
    """Join prior and readings in one least-squares problem.

    The unknowns are steps along the root of what was known (a unit step is one standard uncertainty), and
    last the home shift.
    """
    p, k = len(state.mean), len(facts.rows)
    known = _root(state.covariance)
    design = np.zeros((p + 1 + k, p + 1))
    design.flat[: (p + 1) * (p + 1) : p + 2] = 1.0
    design[p + 1 :, :p] = known[facts.rows] / facts.u[:, None]
    design[p + 1 :, p] = facts.home_mm / facts.u
    observed = np.zeros(p + 1 + k)
    observed[p + 1 :] = (facts.middle - state.mean[facts.rows]) / facts.u
    fit = least_squares(design, observed)
    root = known @ fit.root[:p]
    return State(state.layout, state.mean + known @ fit.solution[:p], root @ root.T, state.sign)
