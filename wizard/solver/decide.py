"""What comes next: nothing, a turn, another reading, or the word that no turn can help."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from wizard.solver import priors
from wizard.solver.choose import Plan
from wizard.solver.estimate import Known
from wizard.solver.finding import Ask, Status, Verdict
from wizard.solver.layout import Layout
from wizard.solver.leastsquares import Array
from wizard.solver.state import turned

TOO_FAR_OUT = 6.0  # normal deviate of a misfit that no story explains
WORTH_MM = 0.005  # a turn that does not better the largest deviation by this is not worth a hand


def status(known: Known, said: Verdict, plan: Plan, ask: tuple[Ask, ...]) -> Status:
    """Return what comes next."""
    if said == "within":
        return "level"
    if not _determined(known):
        return "inconsistent" if known.rejected else "underdetermined"
    unread = any(one.point not in _names(known) for one in ask)
    if not known.seen or (unread and not _is_clear(known, plan.turns)):
        return "measure-again"
    if known.surprise > TOO_FAR_OUT:
        return "inconsistent"
    if plan.coarse:
        return "turn" if plan.turns.any() else "measure-again"
    return _by_turning(known, said, plan)


def _by_turning(known: Known, said: Verdict, plan: Plan) -> Status:
    layout, choice = known.state.layout, plan.choice
    if choice.ideal_mm - priors.COVERAGE * float(np.median(known.state.u)) > layout.tolerance_mm:
        return "not-by-adjusters"
    if choice.worst_mm > layout.tolerance_mm >= choice.without_travel_mm:
        return "out-of-travel"
    if _is_worth(known, plan):
        return "turn"
    if said == "undecided":
        return "measure-again"
    return "not-by-adjusters"


def _is_worth(known: Known, plan: Plan) -> bool:
    """Whether the turns better the largest deviation by enough for a hand, or make a proof possible.

    Where the height is apart, a change of the nozzle height is a turn too.
    """
    state, layout = known.state, known.state.layout
    now = _worst_now(known)
    after = _worst_after(known, plan.turns)
    expanded = priors.COVERAGE * float(state.u.max())
    proves = after + expanded <= layout.tolerance_mm < now + expanded and after < now - WORTH_MM / 2.0
    return after < now - WORTH_MM or proves


def _names(known: Known) -> set[str]:
    return {known.state.layout.points[row] for row in known.seen}


def _determined(known: Known) -> bool:
    """Whether the points read so far fix level and tilt, as far as the points can tell them."""
    layout = known.state.layout
    return _rank(layout, known.ever) >= _rank(layout, frozenset(range(len(layout.points))))


@lru_cache(maxsize=256)
def _rank(layout: Layout, rows: frozenset[int]) -> int:
    """Return how many of level and tilt the points at some rows fix."""
    uv = layout.uv[sorted(rows)]
    return int(np.linalg.matrix_rank(np.column_stack([np.ones(len(uv)), uv]), tol=1e-3)) if rows else 0


def _is_clear(known: Known, turns: Array) -> bool:
    """Whether the turns would, as far as can be foretold, bring every point provably within."""
    after = turned(known.state, turns)
    layout = known.state.layout
    reach = np.abs(after.gaps - layout.target_mm) + priors.COVERAGE * after.u
    return bool(turns.any()) and bool(np.all(reach <= layout.tolerance_mm))


def _worst_now(known: Known) -> float:
    return float(np.abs(known.state.gaps - known.state.layout.target_mm).max())


def _worst_after(known: Known, turns: Array) -> float:
    layout = known.state.layout
    after = known.state.gaps - known.state.effect @ turns - layout.target_mm
    return float(np.abs(after + (layout.height_mm(after) if layout.height_apart else 0.0)).max())
