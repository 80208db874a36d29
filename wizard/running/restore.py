"""What has to be done before a job that was interrupted can go on live. Pure.

`have` says what holds of the machine itself now, `want` what the answers so far have led to. After a
break nothing holds; after *back* the machine stands where it was left.
"""

from __future__ import annotations

from typing import Protocol

from wizard.facts import Facts
from wizard.requests import (
    AnyRequest,
    ByMachine,
    ByPerson,
    Confirm,
    Connect,
    CoolDown,
    Feel,
    FollowAgain,
    Home,
    Lift,
    LookForDaylight,
    Lower,
    Park,
    PrintLayer,
    ReadHeight,
    Reconnect,
    ShowResult,
    Soak,
    TakeReading,
    Topic,
    Warm,
)

CUT_OFF = "cut off before the machine had answered: it may have been done or not; the next readings show it"

AT_A_POINT = (LookForDaylight, TakeReading, Feel, Lower)
"""Requests that need the nozzle where the last move left it."""


def needed(have: Facts, want: Facts, pending: AnyRequest) -> tuple[AnyRequest, ...]:
    """Return the requests that bring the machine from `have` to what `pending` needs, in order.

    Whatever moves or heats comes after the person has confirmed that hands are clear.
    """
    if isinstance(pending, ShowResult):
        return ()
    line = (Connect(),) if want.connected and not have.connected else ()
    if isinstance(pending, CoolDown | Reconnect | ReadHeight):
        return line
    heat, motion = _heat(have, want, pending), _motion(have, want, pending)
    moves = bool(motion) or (bool(line) and isinstance(pending, ByMachine))
    if not moves and (have.homed or not heat):
        return (*line, *heat)
    topic: Topic = "hands-clear" if have.homed else "restore-next"
    if isinstance(pending, PrintLayer):  # what a break has left of a layer is not continued
        topic = "print-anew"
    return (Confirm(topic), *line, *heat, *motion)


class Standing(Protocol):
    """Where a job stands: what its answers have led to, and what is asked for next."""

    facts: Facts
    pending: AnyRequest | None


def as_hot_as_printing(at: Standing | None) -> bool:
    """Tell whether the nozzle is hotter than for measuring, or on its way there: too hot to be left alone."""
    if at is None:
        return False
    wanted_c = at.pending.nozzle_c if isinstance(at.pending, Warm) else 0.0
    return max(at.facts.nozzle_c, wanted_c) > at.facts.machine.heat.nozzle_c


def _follow(have: Facts, want: Facts) -> tuple[AnyRequest, ...]:
    """Return what has a machine follow its grid again: a restart may have switched that off."""
    part = want.machine.compensation
    can = part is not None and part.activate_command is not None
    return (FollowAgain(want.grid),) if can and want.switched_on and not have.switched_on else ()


def _heat(have: Facts, want: Facts, pending: AnyRequest) -> tuple[AnyRequest, ...]:
    """Return what warms the machine again; a plate that had rested at temperature rests anew."""
    wanted = (want.bed_c, want.nozzle_c)
    if isinstance(pending, Lift) or not any(wanted) or (have.bed_c, have.nozzle_c) == wanted:
        return ()
    rest_min = want.machine.heat.soak_min
    soak = (Soak(rest_min),) if want.soaked and rest_min > 0.0 else ()
    return (Warm(*wanted), *soak)


def _motion(have: Facts, want: Facts, pending: AnyRequest) -> tuple[AnyRequest, ...]:
    """Return what homes, parks or lifts, as far as it is needed."""
    home = (Home(), *_follow(have, want)) if want.homed and not have.homed else ()
    place = _place(have, want, pending)
    return (*home, place) if place else home


def _place(have: Facts, want: Facts, pending: AnyRequest) -> AnyRequest | None:
    if isinstance(pending, AT_A_POINT) and want.parked_at is not None and want.z_mm is not None:
        there = (have.parked_at, have.z_mm) == (want.parked_at, want.z_mm)
        return None if there else Park(want.parked_at, want.z_mm)
    stands_low = have.parked_at is not None and want.parked_at is None
    return Lift() if stands_low and isinstance(pending, ByPerson) else None
