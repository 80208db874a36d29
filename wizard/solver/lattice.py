"""The best setting on the lattice of the adjusters' steps, exactly.

    min over whole numbers s, low <= s <= high, of max_i |d_i + (B s)_i|

or, where a common height is free, of half the spread of d + B s. Candidates grow one adjuster at a time.
At each level the adjusters not yet chosen are projected away as real numbers: every circuit of rows w
with w B_free = 0 bounds |w (d + B s)| by the value to beat, so nothing is cut off that could win.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np

from wizard.solver.leastsquares import Array, least_squares
from wizard.solver.minimax import Indices, circuits, grown

_MOST_CIRCUITS = 400  # for each level; more rows than that are left to the last, exact check
_MOST_CANDIDATES = 6_000
_STILL = (
    0.5  # how much a rise of the whole plate counts where the height is free, beside one point's deviation
)


class Chosen(NamedTuple):
    """Steps of each adjuster (m,), the value reached, and whether that is proven to be the least."""

    steps: Array
    value: float
    proven: bool


class Problem(NamedTuple):
    """Offsets d (n,), effect of one step B (n, m), whole limits low, high (m,), whether a height is free."""

    offsets: Array
    effect: Array
    low: Array
    high: Array
    common_free: bool = False

    def values(self, steps: Array) -> Array:
        """Return the largest deviation for each row of steps (c, m)."""
        out = self.offsets + steps @ self.effect.T
        if self.common_free:
            spread: Array = np.ptp(out, axis=1) / 2.0
            return spread
        largest: Array = np.abs(out).max(axis=1)
        return largest


def best(problem: Problem, slack: float = 0.0) -> Chosen:
    """Return the best steps; among all within `slack` of the least value, those with the fewest adjusters
    moved, of these the least turning, of these the least value.
    """
    m = problem.effect.shape[1]
    if m == 0 or len(problem.offsets) == 0:
        still = np.zeros((1, m))
        value = float(problem.values(still)[0]) if len(problem.offsets) else 0.0
        return Chosen(still[0], value, True)
    start = nearby(problem)
    bound = float(problem.values(start[None])[0])
    found, proven = _all_within(problem, bound + slack)
    others = (start, np.zeros(m)) if _zero_allowed(problem) else (start,)
    return _simplest(problem, np.vstack([found, *others]), slack, proven)


def _zero_allowed(problem: Problem) -> bool:
    return bool(problem.low.max() <= 0.0 <= problem.high.min())


def _simplest(problem: Problem, candidates: Array, slack: float, proven: bool) -> Chosen:
    values = problem.values(candidates)
    least = float(values.min())
    good = values <= least + slack + 1e-12
    candidates, values = candidates[good], values[good]
    moved = (candidates != 0.0).sum(axis=1)
    turning = np.abs(candidates).sum(axis=1)
    pick = np.lexsort((values, turning, moved))[0]
    return Chosen(candidates[pick] + 0.0, float(values[pick]), proven)


def nearby(problem: Problem) -> Array:
    """Return a good setting: least squares, rounded, then improved step by step.

    Where a common height is free the plate is not raised or lowered as a whole: pitches that differ a little
    would let a hundredth be gained by many turns of all adjusters, which no hand makes so well.
    """
    effect, offsets = problem.effect, problem.offsets
    moves = _moves(effect.shape[1])
    if problem.common_free:
        still = _STILL * effect.mean(axis=0)
        effect, offsets = (
            np.vstack([effect - effect.mean(axis=0), still]),
            np.append(offsets - offsets.mean(), 0.0),
        )
        moves = moves[np.abs(moves.sum(axis=1)) < max(moves.shape[1], 2)]
    steps = np.clip(np.rint(least_squares(effect, -offsets).solution), problem.low, problem.high)
    value = float(problem.values(steps[None])[0])
    for _ in range(200):
        tries = np.clip(steps + moves, problem.low, problem.high)
        values = problem.values(tries)
        k = int(np.argmin(values))
        if values[k] >= value - 1e-12:
            break
        steps, value = tries[k], float(values[k])
    return np.asarray(steps, dtype=float)


@lru_cache(maxsize=8)
def _moves(m: int) -> Array:
    if m <= 5:
        return np.stack(np.meshgrid(*[[-1.0, 0.0, 1.0]] * m), axis=-1).reshape(-1, m)
    one = np.vstack([np.eye(m), -np.eye(m)])
    both = (one[:, None, :] + one[None, :, :]).reshape(-1, m)
    return np.vstack([one, both])


def _all_within(problem: Problem, bound: float) -> tuple[Array, bool]:
    """Return all settings of value up to `bound`, (c, m), and whether none was left out."""
    m = problem.effect.shape[1]
    bound = bound * (1.0 + 1e-12) + 1e-12
    levels = _levels(problem)
    candidates, proven = np.zeros((1, 0)), True
    for j in range(m):
        candidates, cut = _grow(problem, candidates, levels[j], bound, j)
        proven = proven and not cut
    if len(candidates):
        candidates = candidates[problem.values(candidates) <= bound]
    return candidates, proven


def _levels(problem: Problem) -> list[tuple[Array, Array]]:
    """Return, for each adjuster, bounds with all later ones projected away: heights (c,), slopes (c, m)."""
    m = problem.effect.shape[1]
    rows = _telling_rows(problem)
    d, b = problem.offsets[rows], problem.effect[rows]
    scale = max(float(np.abs(b).max()), 1e-300)
    free = ([np.ones(len(rows))] if problem.common_free else []) + [
        b[:, j] / scale for j in range(m - 1, 0, -1)
    ]
    minors, levels = np.ones(1), []
    for size in range(len(free) + 1):
        if size > 0:
            minors = grown(minors, free[size - 1], len(rows), size)
        chosen, weights = circuits(minors, len(rows), size)
        heights = (weights * d[chosen]).sum(axis=1)
        slopes = (weights[:, None, :] @ b[chosen])[:, 0]
        levels.append((heights, slopes))
    return levels[::-1][:m]


def _telling_rows(problem: Problem) -> Indices:
    """Return the rows that are used for bounds: all of few, of many those that bound most."""
    n, m = problem.effect.shape
    keep = n
    while keep > m + 2 and _count(keep, m + int(problem.common_free)) > _MOST_CIRCUITS:
        keep -= 1
    if keep >= n:
        return np.arange(n)
    start = problem.offsets + problem.effect @ nearby(problem)
    middle = (start.max() + start.min()) / 2.0 if problem.common_free else 0.0
    return np.sort(np.argsort(-np.abs(start - middle), kind="stable")[:keep])


def _count(rows: int, free: int) -> int:
    most, count = 1, 1
    for k in range(min(free, rows)):
        count = count * (rows - k) // (k + 1)
        most = max(most, count)
    return most


def _grow(
    problem: Problem, candidates: Array, level: tuple[Array, Array], bound: float, j: int
) -> tuple[Array, bool]:
    """Return all candidates with one more adjuster chosen, and whether some had to be left out."""
    heights, slopes = level
    have = heights + candidates @ slopes[:, :j].T
    slope: Array = slopes[:, j]
    tells = np.abs(slope) >= 1e-12
    if not tells.all():
        alive = (np.abs(have[:, ~tells]) <= bound).all(axis=1)
        candidates, have, slope = candidates[alive], have[alive][:, tells], slope[tells]
    if not len(slope):
        every = np.ones(len(candidates))
        return _spread_out(candidates, every * problem.low[j], every * problem.high[j])
    centre, width = have / -slope, bound / np.abs(slope)
    low = np.maximum(np.ceil((centre - width).max(axis=1) - 1e-9), problem.low[j])
    high = np.minimum(np.floor((centre + width).min(axis=1) + 1e-9), problem.high[j])
    return _spread_out(candidates, low, high)


def _spread_out(candidates: Array, low: Array, high: Array) -> tuple[Array, bool]:
    counts = np.maximum(high - low + 1.0, 0.0)
    cut = bool(counts.sum() > _MOST_CANDIDATES)
    if cut:  # keep the middle of each range
        most = max(_MOST_CANDIDATES // max(len(counts), 1), 1)
        middle = np.rint((low + high) / 2.0)
        low = np.maximum(low, middle - most // 2)
        counts = np.minimum(counts, most)
    repeat = counts.astype(int)
    which = np.arange(len(candidates)).repeat(repeat)[:_MOST_CANDIDATES]
    first = (repeat.cumsum() - repeat)[which]
    place = low[which] + np.arange(len(which)) - first
    return np.hstack([candidates[which], place[:, None]]), cut
