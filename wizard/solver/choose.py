"""Which turns to make: the best lattice point for the state as it is known, inside the travel, and safe."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wizard.solver import state as model
from wizard.solver.lattice import Problem, best
from wizard.solver.layout import Layout
from wizard.solver.leastsquares import Array
from wizard.solver.minimax import minimax
from wizard.solver.state import State

EQUAL_MM = 0.002  # settings that differ by less are equally good: no hand reads finer
SAFETY = 3.0  # standard uncertainties by which a rise may turn out larger than intended
SAFETY_CLOSED = 2.0  # the same where every gap is known from both sides: the nozzle is lifted away meanwhile


@dataclass(frozen=True)
class Choice:
    """turns: (m,) to make. worst_mm: largest predicted deviation (half the spread where height is apart).

    height_mm: raise of the nozzle still wanted after the turns. ideal_mm: the same figure without steps and
    travel. without_travel_mm: with steps, without travel. proven: whether the lattice point is proven best.
    """

    turns: Array
    worst_mm: float
    height_mm: float
    ideal_mm: float
    without_travel_mm: float
    proven: bool


def choose(state: State, used: Array, gaps: Array | None = None) -> Choice:
    """Return the best turns. used: (m,) turns made so far. gaps: (n,) to plan for instead of the expected."""
    layout = state.layout
    offsets = (state.gaps if gaps is None else gaps) - layout.target_mm
    effect = -state.effect * layout.step
    low, high = _limits(layout, used)
    within = best(Problem(offsets, effect, low, high, layout.height_apart), EQUAL_MM)
    reach = 1.0e4 / np.maximum(layout.step, 1e-9)
    free = within
    if np.any(within.steps <= low) or np.any(within.steps >= high):
        free = best(Problem(offsets, effect, -reach, reach, layout.height_apart), EQUAL_MM)
    after = offsets + effect @ within.steps
    return Choice(
        turns=within.steps * layout.step,
        worst_mm=within.value,
        height_mm=-_middle(after),
        ideal_mm=_ideal(layout, offsets, effect),
        without_travel_mm=free.value,
        proven=within.proven,
    )


def _limits(layout: Layout, used: Array) -> tuple[Array, Array]:
    """Return the steps still to be had, down and up."""
    low = np.ceil((layout.low - used) / layout.step - 1e-6)
    high = np.floor((layout.high - used) / layout.step + 1e-6)
    return np.minimum(low, 0.0), np.maximum(high, 0.0)


def _middle(deviations: Array) -> float:
    return float(deviations.max() + deviations.min()) / 2.0 if len(deviations) else 0.0


def _ideal(layout: Layout, offsets: Array, effect: Array) -> float:
    columns = np.column_stack([effect, np.ones(len(offsets))]) if layout.height_apart else effect
    return minimax(offsets, columns).value


def safe(states: list[State], turns: Array, free: Array, factor: float = SAFETY) -> Array:
    """Return the turns, made smaller until no point can rise by more than is known to be free there.

    free: (n,) mm known to be between nozzle and plate. All states (one for each direction that is still
    possible) have to agree. factor: standard uncertainties by which the rise is taken larger.
    """
    share = 1.0
    while share > 0.02:
        smaller = _fewer(turns, share, states[0].layout.step)
        if not smaller.any():
            break
        if all(_clears(state, smaller, free, factor) for state in states):
            return smaller
        share -= 0.05
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
