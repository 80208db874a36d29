"""All rounds -> what is known now."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from wizard.rounds import Round
from wizard.solver import state as model
from wizard.solver.brackets import LIMIT_MM, Seen, seen, together
from wizard.solver.evidence import evidence
from wizard.solver.finding import Suspicion
from wizard.solver.layout import Layout
from wizard.solver.leastsquares import Array
from wizard.solver.state import State
from wizard.solver.suspicion import Past, likeliest


@dataclass(frozen=True, eq=False)
class Known:
    """What is known after some rounds.

    state: now. start: when the plate was last moved, before the readings since. seen: brackets since then,
    by row of the point. ever: rows of all points read so far. used: (m,) turns made so far.
    log_likelihood: of all readings so far, as reported; only where a direction is unknown. rejected: points
    whose reading in the last round told nothing or could not be. past: the turns before the readings in
    `seen`. suspicion: what the last round's readings make likely to have gone wrong. surprise: how far out
    they lie even so, as a normal deviate.
    """

    state: State
    start: State
    seen: dict[int, Seen]
    ever: frozenset[int]
    used: Array
    log_likelihood: float = 0.0
    rejected: tuple[str, ...] = ()
    past: Past | None = None
    suspicion: Suspicion | None = None
    surprise: float = 0.0


def follow(layout: Layout, rounds: Sequence[Round], sign: float = 1.0) -> Known:
    """Return what is known after the rounds, with unknown directions taken as `sign` times the usual one."""
    first = model.before(layout, sign)
    known = Known(first, first, {}, frozenset(), np.zeros(len(layout.adjusters)))
    for one in rounds:
        known = _moved(_read(known, one), one)
    return known


def _read(known: Known, one: Round) -> Known:
    new, rejected = _usable(known.state.layout, one)
    if not new:
        return replace(known, rejected=rejected, suspicion=None, surprise=0.0)
    merged = dict(known.seen)
    for row, bracket in new.items():
        merged[row] = together(merged[row], bracket) if row in merged else bracket
    weighed = likeliest(known.start, merged, known.past)
    if weighed.suspicion is None and known.seen:
        weighed = weighed.then(likeliest(known.state, new, None))
    state = model.read(weighed.story.start, weighed.story.seen, weighed.story.home_mm)
    return replace(
        known,
        state=model.raised(state, 0.0, _number(one.common_u_mm, LIMIT_MM)),  # shared: no reading lessens it
        seen=merged,
        ever=known.ever | frozenset(new),
        log_likelihood=known.log_likelihood + _log_likelihood(known.state, new),
        rejected=rejected,
        suspicion=weighed.suspicion,
        surprise=weighed.surprise,
    )


def _log_likelihood(state: State, new: dict[int, Seen]) -> float:
    """Return what the readings say for one direction against the other; nothing where all are known."""
    return evidence(state, new).log_likelihood if state.layout.unknown_way.any() else 0.0


def _usable(layout: Layout, one: Round) -> tuple[dict[int, Seen], tuple[str, ...]]:
    """Return the usable brackets by row, and the names of points whose readings cannot be used."""
    new: dict[int, Seen] = {}
    rejected = []
    for name, reading in one.readings.items():
        row, bracket = layout.index(name), seen(reading)
        if row is not None and bracket is not None:
            new[row] = bracket
        elif row is not None:
            rejected.append(name)
    return new, tuple(rejected)


def _moved(known: Known, one: Round) -> Known:
    layout = known.state.layout
    lift = _number(one.height_change_mm, LIMIT_MM)
    state = known.state
    if not (one.turned or lift or one.height_u_mm):
        return known
    turns = np.array([_number(one.turned.get(name, 0.0), 1e3) for name in layout.adjusters if one.turned])
    if turns.any():
        state = model.turned(state, turns)
        past = Past(known.state, known.start, known.seen, turns)
        known = replace(known, state=state, start=state, seen={}, past=past, used=known.used + turns)
    u_mm = _number(one.height_u_mm, LIMIT_MM)
    if u_mm:  # what was read before tells the new height no better than the change is known
        state = model.raised(state, lift, u_mm)
        known = replace(known, state=state, start=state, seen={}, past=None)
    elif lift:
        higher = {row: one.lifted(lift) for row, one in known.seen.items()}
        start = model.raised(known.start, lift)
        lifted = known.past and known.past.lifted(lift)
        known = replace(known, state=model.raised(known.state, lift), start=start, seen=higher, past=lifted)
    return known


def _number(value: float, limit: float) -> float:
    """Return a finite number inside +-limit; what is not one counts as nothing done."""
    return min(max(float(value), -limit), limit) if math.isfinite(value) else 0.0
