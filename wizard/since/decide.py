"""Readings of a recheck -> what has changed, once they decide it."""

from __future__ import annotations

import math

import numpy as np

from profiles.machine import Machine
from wizard.base import Base
from wizard.rounds import Round
from wizard.since.change import Change, Kind
from wizard.since.known import finding_of
from wizard.since.weigh import Told, base_state, gap_covariance, usable, weigh
from wizard.solver.layout import Layout, layout_of
from wizard.solver.leastsquares import Array
from wizard.solver.state import State

MISSED = 0.004
"""The plate is taken as unmoved when less than this is left for a gap beyond tolerance by its moving."""

SURE = 0.95
"""The plate is taken as moved, or a reading as wrong, from this probability on."""

TOO_FAR_OUT = 4.5
"""Normal deviate from which on no story fits the readings."""

LEAST = 3
"""Points that fix a plane."""

AS_IT_IS = 0.03
"""Nothing is to be set while a gap beyond tolerance is less likely than this, as it is."""


def judge(machine: Machine, base: Base, readings: Round, *, final: bool = False) -> Change | None:
    """Return the change; None while the readings do not decide it. See `wizard.since.judge`."""
    layout = layout_of(machine)
    told = weigh(machine, base, readings)
    if not usable(layout, readings):
        return _change(machine, base, readings, told, "wrong") if final else None
    kind = _kind(layout, told, final=final)
    return None if kind is None else _change(machine, base, readings, told, kind)


def _kind(layout: Layout, told: list[Told], *, final: bool) -> Kind | None:
    if min(one.surprise for one in told) > TOO_FAR_OUT:
        return "wrong" if final else None
    set_mm = _set_mm(layout, told[0].state)
    if _by_moving(layout, told, set_mm) <= MISSED and _enough(layout, told):
        return "same" if _stays(layout, told) else "height"
    tilted = sum(t.weight for t in told if t.story.kind == "tilt")
    slipped = sum(t.weight for t in told if t.story.kind == "slip")
    if not final:
        return "tilt" if tilted >= SURE and _tilts(layout, told, set_mm) else None
    return "tilt" if tilted > max(slipped, 0.5) else "wrong"


def _by_moving(layout: Layout, told: list[Told], set_mm: float) -> float:
    """Return the probability of a gap beyond tolerance, should more than the height have changed."""
    return sum(t.weight * _beyond(layout, t.state, set_mm) for t in told if t.story.kind != "height")


def _enough(layout: Layout, told: list[Told]) -> bool:
    """Whether as many points are read as a plane needs: with fewer some tilt could not be seen at all."""
    read = sum(t.story.kind == "slip" for t in told)
    return read >= min(LEAST, len(layout.points))


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
        suspect=best.story.about if kind == "wrong" and best.weight > 0.5 else "",
    )
