"""All rounds -> what is known now."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from wizard.rounds import Round
from wizard.solver import priors
from wizard.solver import state as model
from wizard.solver.brackets import LIMIT_MM, Seen, seen, together
from wizard.solver.layout import Layout
from wizard.solver.leastsquares import Array
from wizard.solver.state import State


@dataclass(frozen=True, eq=False)
class Known:
    """What is known after some rounds.

    state: now. start: when the plate was last moved, before the readings since. seen: brackets since
    then, by row of the point. ever: rows of all points read so far. used: (m,) turns made so far.
    log_likelihood: of all readings so far. rejected: readings that told nothing or could not be.
    """

    state: State
    start: State
    seen: dict[int, Seen]
    ever: frozenset[int]
    used: Array
    log_likelihood: float = 0.0
    rejected: tuple[str, ...] = ()


def follow(layout: Layout, rounds: Sequence[Round], sign: float = 1.0) -> Known:
    """Return what is known after the rounds, with unknown directions taken as `sign` times the usual one."""
    first = model.before(layout, sign)
    known = Known(first, first, {}, frozenset(), np.zeros(len(layout.adjusters)))
    for one in rounds:
        known = _moved(_read(known, one), one)
    return known


def _read(known: Known, one: Round) -> Known:
    layout = known.state.layout
    new: dict[int, Seen] = {}
    rejected = list(known.rejected)
    for name, reading in one.readings.items():
        row, bracket = layout.index(name), seen(reading)
        if row is None or bracket is None:
            rejected.append(name)
        else:
            new[row] = bracket
    if not new:
        return replace(known, rejected=tuple(rejected))
    merged = dict(known.seen)
    for row, bracket in new.items():
        merged[row] = together(merged[row], bracket) if row in merged else bracket
    return replace(
        known,
        state=model.read(known.start, merged),
        seen=merged,
        ever=known.ever | frozenset(new),
        log_likelihood=known.log_likelihood + _log_likelihood(known.state, new),
        rejected=tuple(rejected),
    )


def _log_likelihood(state: State, new: dict[int, Seen]) -> float:
    """Return the log probability density of closed brackets, (mm^-k), by what was known before them."""
    rows = [row for row in sorted(new) if new[row].closed]
    total = sum(_log_open(state, row, new[row]) for row in new if not new[row].closed)
    if not rows:
        return total
    u = np.array([new[row].u for row in rows])
    off = np.array([new[row].middle for row in rows]) - state.gaps[rows]
    spread = state.covariance[np.ix_(rows, rows)] + np.diag(u**2) + priors.HOME_MM**2
    lower = np.linalg.cholesky(spread)
    white = np.linalg.solve(lower, off)
    return total - float(white @ white) / 2.0 - float(np.log(np.diagonal(lower)).sum())


def _log_open(state: State, row: int, bracket: Seen) -> float:
    mean, u = float(state.gaps[row]), math.hypot(float(state.u[row]), bracket.hand)
    high_side = math.isinf(bracket.high)
    a = (mean - bracket.low) / u if high_side else (bracket.high - mean) / u
    return math.log(max(0.5 * math.erfc(-a / math.sqrt(2.0)), 1e-300))


def _moved(known: Known, one: Round) -> Known:
    layout = known.state.layout
    turns = np.array([_number(one.turned.get(name, 0.0), 1e3) for name in layout.adjusters])
    lift = _number(one.height_change_mm, LIMIT_MM)
    state = known.state
    if turns.any():
        state = model.turned(state, turns)
        known = replace(known, state=state, start=state, seen={}, used=known.used + turns)
    if lift:
        higher = {row: s._replace(low=s.low + lift, high=s.high + lift) for row, s in known.seen.items()}
        start = model.raised(known.start, lift)
        known = replace(known, state=model.raised(known.state, lift), start=start, seen=higher)
    return known


def _number(value: float, limit: float) -> float:
    """Return a finite number inside +-limit; what is not one counts as nothing done."""
    return min(max(float(value), -limit), limit) if math.isfinite(value) else 0.0
