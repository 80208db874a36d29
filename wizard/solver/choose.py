"""Which turns to make: the best lattice point for the state as it is known, inside the travel, and safe."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from wizard.solver import state as model
from wizard.solver.lattice import Chosen, Problem, best, nearby
from wizard.solver.layout import Layout
from wizard.solver.leastsquares import Array
from wizard.solver.minimax import Span, least_largest, span_of
from wizard.solver.state import State

EQUAL_MM = 0.002  # settings that differ by less are equally good: no hand reads finer
TIGHT_MM = 0.0002  # the same where the plate's own form leaves hardly any room
AMPLE = 0.3  # share of the tolerance that the best setting may leave for room to be ample
NO_SHARE = 1e-3  # of a twist: less than this is none
WINDOW = 2.0  # steps beyond those of the tilt itself that are looked at where the height is free
SHARES = tuple(0.05 * k for k in range(20, 0, -1))  # of turns that are not safe as a whole, the largest first
SAFETY = 3.0  # standard uncertainties by which a rise may turn out larger than intended
SAFETY_CLOSED = (
    0.0  # the same where every gap is known from both sides: then the way back down is what is safe
)


@dataclass(frozen=True)
class Choice:
    """turns: (m,) to make. worst_mm: largest predicted deviation (half the spread where height is apart).

    height_mm: raise of the nozzle still wanted after the turns. ideal_mm: the same figure without steps and
    travel. without_travel_mm: with steps, without travel. proven: whether the lattice point is proven best.
    way_out: turns (m,) inside the travel that level the plate at another height, where travel is in the way.
    """

    turns: Array
    worst_mm: float
    height_mm: float
    ideal_mm: float
    without_travel_mm: float
    proven: bool
    way_out: Array | None = None


class Plan(NamedTuple):
    """The turns that would be made: the best choice, what of it is safe (m,), and whether it is coarse."""

    choice: Choice
    turns: Array
    coarse: bool


def choose(state: State, used: Array, gaps: Array | None = None) -> Choice:
    """Return the best turns. used: (m,) turns made so far. gaps: (n,) to plan for instead of the expected."""
    layout = state.layout
    offsets = (state.gaps if gaps is None else gaps) - layout.target_mm
    step = _step(state)
    effect = -state.effect * step
    low, high = _limits(layout, used, step)
    here = Problem(offsets, effect, low, high, layout.height_apart)
    ideal_mm = _ideal(state, offsets)
    slack_mm = EQUAL_MM if ideal_mm <= AMPLE * layout.tolerance_mm else TIGHT_MM
    within = _best(here, slack_mm)
    free_mm, way_out = within.value, None
    if np.any(within.steps <= low) or np.any(within.steps >= high):
        reach = np.full(len(low), 1.0e5)
        free_mm = _best(here._replace(low=-reach, high=reach), slack_mm).value
        way_out = _best(here._replace(common_free=True), slack_mm).steps * step
    return Choice(
        turns=within.steps * step,
        worst_mm=within.value,
        height_mm=-_middle(offsets + effect @ within.steps),
        ideal_mm=ideal_mm,
        without_travel_mm=free_mm,
        proven=within.proven,
        way_out=way_out,
    )


def _best(problem: Problem, slack_mm: float) -> Chosen:
    """Return the best steps; settings that differ by less than `slack_mm` are equally good.

    Where a height is free the plate may be levelled at any height, so only settings near the one of least
    turning are looked at.
    """
    if problem.common_free and problem.effect.size:
        start = nearby(problem)
        window = float(np.abs(start).max()) + WINDOW
        low, high = np.maximum(problem.low, start - window), np.minimum(problem.high, start + window)
        problem = problem._replace(low=low, high=high)
    return best(problem, slack_mm)


def _step(state: State) -> Array:
    """Return the steps to choose in, turns (m,): the adjusters' own, very fine ones taken in groups."""
    own = state.layout.step
    raised = np.maximum(np.abs(state.mm_per_turn) * own, 1e-9)
    groups: Array = own * np.maximum(np.rint(EQUAL_MM / raised), 1.0)
    return groups


def _limits(layout: Layout, used: Array, step: Array) -> tuple[Array, Array]:
    """Return the steps still to be had, down and up."""
    low = np.ceil((layout.low - used) / step - 1e-6)
    high = np.floor((layout.high - used) / step + 1e-6)
    return np.minimum(low, 0.0), np.maximum(high, 0.0)


def _middle(deviations: Array) -> float:
    return float(deviations.max() + deviations.min()) / 2.0 if len(deviations) else 0.0


def _ideal(state: State, offsets: Array) -> float:
    """Return the least largest deviation that any setting of the adjusters could leave.

    Settings reach all planes of the supports, and all of what bends the plate where any of it arrives: which
    those are does not depend on pitches or on how much of a twist arrives.
    """
    return least_largest(offsets, _reached(state.layout, abs(state.share) > NO_SHARE))


@lru_cache(maxsize=32)
def _reached(layout: Layout, bends: bool) -> Span:
    influence = layout.plane + layout.bend if bends else layout.plane
    columns = np.column_stack([influence, np.ones(len(influence))]) if layout.height_apart else influence
    return span_of(columns)


def safe(states: list[State], turns: Array, free: Array, factor: float = SAFETY) -> Array:
    """Return the turns, made smaller until no point can rise by more than is known to be free there.

    free: (n,) mm known to be between nozzle and plate. All states (one for each direction that is still
    possible) have to agree. factor: standard uncertainties by which the rise is taken larger.
    """
    if not turns.any():
        return turns
    for share in SHARES:
        smaller = _fewer(turns, share, states[0].layout.step)
        if not smaller.any():
            break
        if all(_clears(state, smaller, free, factor) for state in states):
            return smaller
    return _trial(states, turns, free, factor)


def _trial(states: list[State], turns: Array, free: Array, factor: float) -> Array:
    """Return a part of one adjuster's turn that is safe, where all together are not; else none."""
    for j in np.argsort(-np.abs(turns), kind="stable"):
        for share in (1.0, 0.5, 0.25, 0.125, 0.0625):
            alone = np.zeros_like(turns)
            alone[j] = _fewer(turns, share, states[0].layout.step)[j]
            if alone[j] and all(_clears(state, alone, free, factor) for state in states):
                return alone
    return np.zeros_like(turns)


def _fewer(turns: Array, share: float, step: Array) -> Array:
    """Return a share of the turns, in whole steps, rounded toward none."""
    steps: Array = np.sign(turns) * np.floor(np.abs(turns) * share / step + 1e-6) * step
    return steps


def _clears(state: State, turns: Array, free: Array, factor: float) -> bool:
    """Whether at every point the rise, taken large, stays inside what is free."""
    rise = state.effect @ turns
    n = len(rise)
    exact = State(state.layout, state.mean, _only_effects(state.covariance, n), state.sign)
    spread = np.sqrt(np.maximum(np.diagonal(model.turned(exact, turns).covariance)[:n], 0.0))
    return bool(np.all(rise + factor * spread <= np.maximum(free, 0.0) + 1e-9))


def _only_effects(covariance: Array, n: int) -> Array:
    only = np.zeros_like(covariance)
    only[n:, n:] = covariance[n:, n:]
    return only
