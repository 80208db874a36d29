"""Readings of a recheck -> what has changed, once they decide it."""

from __future__ import annotations

import math

import numpy as np

from profiles.machine import Machine
from wizard.base import Base
from wizard.rounds import Round
from wizard.since.change import Change, Kind
from wizard.since.known import finding_of
from wizard.since.stories import LEAST
from wizard.since.weigh import Told, base_state, gap_covariance, usable, weigh
from wizard.solver.layout import Layout, layout_of
from wizard.solver.leastsquares import Array
from wizard.solver.state import State

MOST_LEFT = ((0.6, 0.65), (0.85, 0.15), (math.inf, 0.03))
"""How much of a move's share may be left as one beyond tolerance where the plate is taken as unmoved: the
more, the better the readings show such a move. Each pair: the largest standard uncertainty of a gap against
the others by that story, in tolerances, and what may be left."""

SLIP_LEFT = 0.02
"""The same, in all, of readings that may have slipped and hide a gap beyond tolerance."""

SURE = 0.95
"""The plate is taken as moved, or a reading as wrong, from this probability on."""

TOO_FAR_OUT = 4.5
"""Normal deviate from which on no story fits the readings."""

AS_IT_IS = 0.03
"""Nothing is to be set while a gap beyond tolerance is less likely than this, as it is."""


def judge(machine: Machine, base: Base, readings: Round, *, final: bool = False) -> Change | None:
    """Return the change; None while the readings do not decide it. See `wizard.since.judge`."""
    layout = layout_of(machine)
    told = weigh(machine, base, readings)
    if not usable(layout, readings):
        return _change(machine, base, readings, told, "wrong") if final else None
    kind = _kind(layout, told, readings, final=final)
    return None if kind is None else _change(machine, base, readings, told, kind)


def _kind(layout: Layout, told: list[Told], readings: Round, *, final: bool) -> Kind | None:
    if min(one.surprise for one in told) > TOO_FAR_OUT:
        return "wrong" if final else None
    set_mm = _set_mm(layout, told[0].state)
    if _enough(layout, readings) and _unmoved(layout, told, set_mm):
        return "same" if _stays(layout, told) else "height"
    tilted = sum(t.weight for t in told if t.story.kind == "tilt")
    slipped = sum(t.weight for t in told if t.story.kind == "slip")
    if not final:
        return "tilt" if tilted >= SURE and _tilts(layout, told, set_mm) else None
    return "tilt" if tilted > max(slipped, 0.5) else "wrong"


def _unmoved(layout: Layout, told: list[Told], set_mm: float) -> bool:
    """Whether every story by which a gap would be beyond tolerance, the height set, has lost its weight.

    Each story by itself: one that no reading has spoken against keeps its share, however small that is.
    The limits are such that of many made-up beds less than one in a hundred that have moved is missed.
    """
    slips = sum(t.weight * _beyond(layout, t.state, set_mm) for t in told if t.story.kind == "slip")
    return slips <= SLIP_LEFT and all(
        t.weight * _beyond(layout, t.state, set_mm) <= _most_left(layout, t)
        for t in told
        if t.story.kind == "tilt"
    )


def _most_left(layout: Layout, told: Told) -> float:
    u_mm = math.sqrt(max(float(np.diagonal(_against_height(told.state)).max()), 0.0))
    allowed = next(left for largest, left in MOST_LEFT if u_mm <= largest * layout.tolerance_mm)
    return told.story.share * allowed


def _enough(layout: Layout, readings: Round) -> bool:
    """Whether as many points are read as a plane needs: with fewer some tilt could not be seen at all.

    Readings coarser than half the tolerance do not count: by them hardly any tilt could be seen.
    """
    fine_mm = layout.tolerance_mm / 2.0
    fine = [one for one in usable(layout, readings).values() if one.closed and one.u <= fine_mm]
    return len(fine) >= min(LEAST, len(layout.points))


def _tilts(layout: Layout, told: list[Told], set_mm: float) -> bool:
    """Whether what has moved is more than the tolerance bears, most likely."""
    tilts = [t for t in told if t.story.kind == "tilt"]
    whole = sum(t.weight for t in tilts)
    return sum(t.weight * _beyond(layout, t.state, set_mm) for t in tilts) > 0.5 * whole


def _stays(layout: Layout, told: list[Told]) -> bool:
    """Whether all gaps are within as they are: nothing is to be set."""
    return sum(t.weight * _beyond(layout, t.state, 0.0) for t in told) <= AS_IT_IS


def _set_mm(layout: Layout, state: State) -> float:
    """Return how far the nozzle would be raised, so that the gaps lie evenly about the target."""
    gaps = state.gaps
    return layout.target_mm - float(gaps.max() + gaps.min()) / 2.0


def _beyond(layout: Layout, state: State, set_mm: float) -> float:
    """Return the probability that some gap is beyond tolerance once the nozzle is raised by `set_mm`.

    Bounded by the sum over the points, each by itself (Boole's inequality); the height itself
    is then set by a reading, so that only its spread over the plate counts.
    """
    off = state.gaps + set_mm - layout.target_mm
    spread = np.sqrt(np.maximum(np.diagonal(_against_height(state)), 1e-12))
    upper = (layout.tolerance_mm - off) / spread
    lower = (layout.tolerance_mm + off) / spread
    each = [_tail(float(a)) + _tail(float(b)) for a, b in zip(upper, lower, strict=True)]
    return min(sum(each), 1.0)


def _against_height(state: State) -> Array:
    """Return the covariance of the gaps against their mean, (n, n) mm^2."""
    covariance = gap_covariance(state)
    apart = np.eye(len(covariance)) - 1.0 / len(covariance)
    around: Array = apart @ covariance @ apart
    return around


def _tail(deviate: float) -> float:
    """Return the probability that a standard normal deviate is larger."""
    return 0.5 * math.erfc(deviate / math.sqrt(2.0))


def _change(machine: Machine, base: Base, readings: Round, told: list[Told], kind: Kind) -> Change:
    group = {"same": "height", "height": "height", "tilt": "tilt", "wrong": "slip"}[kind]
    fitting = [t for t in told if t.story.kind == group] or told
    best = max(fitting, key=lambda t: t.weight)
    start, layout = base_state(machine, base), layout_of(machine)
    move = best.state.gaps - start.gaps
    height_mm = float(np.median(move))
    place = int(np.abs(move - height_mm).argmax()) if len(move) else 0
    set_mm = _set_mm(layout, best.state) if kind == "height" else 0.0
    return Change(
        kind=kind,
        odds=sum(t.weight for t in fitting),
        height_mm=height_mm,
        u_mm=float(np.sqrt(gap_covariance(best.state).mean())),
        days=base.days,
        read=tuple(readings.readings),
        finding=finding_of(machine, best.state, set_mm if kind == "height" else None),
        place=layout.points[place] if kind == "tilt" else "",
        place_mm=float(height_mm - move[place]) if kind == "tilt" else 0.0,
        set_mm=set_mm,
        coarse=kind == "wrong" and not _enough(layout, readings),
        suspect=best.story.about if kind == "wrong" and best.weight > 0.5 else "",
    )
