"""Whether steps, gauge and tolerance can be reconciled at all: said before the first reading."""

from __future__ import annotations

import math
from functools import lru_cache
from itertools import pairwise

import msgspec
import numpy as np

from profiles.machine import Machine
from wizard.solver import priors
from wizard.solver import state as model
from wizard.solver.brackets import LIMIT_MM
from wizard.solver.finding import Limits
from wizard.solver.lattice import Problem, best
from wizard.solver.layout import Layout, layout_of

_BEDS = 60  # made-up beds from which the deviation that steps leave is taken


def limits_of(machine: Machine) -> Limits:
    """Return what steps and gauge of a machine allow."""
    try:
        return _cached(machine)
    except TypeError:  # a machine made by hand with lists in it cannot be a key
        return _limits(machine)


def agree(limits: Limits) -> bool:
    """Whether a setting within tolerance could be proven."""
    return limits.step_mm + limits.reading_mm <= limits.tolerance_mm


@lru_cache(maxsize=16)
def _cached(machine: Machine) -> Limits:
    return _limits(machine)


def _limits(machine: Machine) -> Limits:
    """Return them. What only proves lies between the other points: no more is left there."""
    layout = layout_of(msgspec.structs.replace(machine, point=machine.levelling_points))
    return Limits(_left_by_steps(layout), _reading(machine), layout.tolerance_mm)


def _left_by_steps(layout: Layout) -> float:
    """Return the deviation that steps leave in 95 of 100 beds that the adjusters could level exactly."""
    if not layout.adjusters or not layout.points:
        return 0.0
    effect = model.before(layout).effect * layout.step
    reach = np.full(len(layout.adjusters), 1e5)
    beds = _spread(_BEDS, len(layout.adjusters)) @ effect.T
    left = [best(Problem(bed, effect, -reach, reach, layout.height_apart)).value for bed in beds]
    return float(np.sort(left)[math.ceil(0.95 * len(left)) - 1])


def _spread(rows: int, columns: int) -> np.ndarray:
    """Return points spread evenly over a cube from -1/2 to 1/2, shape (rows, columns), always the same.

    Multiples of powers of the root of x^(d+1) = x + 1, modulo 1: evenly spread as these are irrational
    (Weyl's equidistribution theorem). Drawing at random would load what weighs more than the solver.
    """
    root = 2.0
    for _ in range(60):
        root = (1.0 + root) ** (1.0 / (columns + 1))
    steps = root ** -np.arange(1.0, columns + 1.0)
    return np.asarray((np.outer(np.arange(1, rows + 1), steps) + 0.5) % 1.0 - 0.5)


def _reading(machine: Machine) -> float:
    """Return the expanded uncertainty of one reading near the target with the best gauge, mm."""
    by_line = machine.motion.link == "serial"
    ways = [_expanded(0.0, "probe")] if machine.probe else []
    if machine.gauge.card_mm is not None and by_line:
        ways.append(_expanded(priors.DRAG_WIDTH_MM, "feel"))
    leaves = sorted(leaf for leaf in machine.gauge.leaves_mm if abs(leaf) < LIMIT_MM)
    width = min((b - a for a, b in pairwise(leaves) if b > machine.wanted_gap_mm), default=None)
    if width is not None:  # where the nozzle can be moved a second reading halves the bracket
        ways.append(_expanded(width / (2.0 if by_line else 1.0), "leaf"))
    return min(ways, default=_expanded(priors.DRAG_WIDTH_MM, "given"))


def _expanded(width: float, how: str) -> float:
    u = math.hypot(width / math.sqrt(12.0), priors.HAND_MM[how], priors.HOME_MM)
    return priors.COVERAGE * u
