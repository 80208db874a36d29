"""What is known of a job so far: folded from its requests and answers, so that procedure, screens,
wording and the restart after a break all see the same. Pure.
"""

from __future__ import annotations

from functools import singledispatch

import msgspec

from profiles.machine import Machine
from wizard.readings import narrow
from wizard.requests import (
    AnyAnswer,
    AnyRequest,
    Connect,
    Connected,
    CoolDown,
    Feel,
    Felt,
    HeightChanged,
    Home,
    Lift,
    Lower,
    Park,
    ReadingTaken,
    SetHeight,
    Skipped,
    TakeReading,
    Turn,
    Turned,
    Warm,
)
from wizard.rounds import Reading, Round
from wizard.solver.finding import Finding


class Facts(msgspec.Struct, frozen=True):
    """A job so far.

    rounds: all rounds, readings at the measuring height; the last is the running one.
    readings: the newest reading of each point since the plate or the nozzle height last changed.
    finding: the newest finding that a request carried.
    parked_at, z_mm: where the nozzle stands by what was asked and done; None where not parked.
    bed_c, nozzle_c: temperatures last asked for and reached.
    """

    machine: Machine
    by_hand: bool = False
    simulated: bool = False
    connected: bool = False
    homed: bool = False
    bed_c: float = 0.0
    nozzle_c: float = 0.0
    parked_at: str | None = None
    z_mm: float | None = None
    rounds: tuple[Round, ...] = ()
    readings: dict[str, Reading] = {}
    finding: Finding | None = None
    answers: int = 0


_changed = msgspec.structs.replace


def after(facts: Facts, request: AnyRequest, answer: AnyAnswer) -> Facts:
    """Return the facts once `answer` to `request` is in."""
    finding = getattr(request, "finding", None) or facts.finding
    facts = _changed(facts, finding=finding, answers=facts.answers + 1)
    if isinstance(answer, Skipped):
        return facts
    return _fold(request, answer, facts)


def in_round(facts: Facts, number: int, point: str, reading: Reading) -> Facts:
    """Return the facts with `reading` of `point` in round `number` (1 is the first)."""
    rounds = facts.rounds if number <= len(facts.rounds) else (*facts.rounds, Round())
    last = rounds[-1]
    last = _changed(last, readings={**last.readings, point: reading})
    readings = {**facts.readings, point: reading}
    return _changed(facts, rounds=(*rounds[:-1], last), readings=readings)


@singledispatch
def _fold(request: object, answer: AnyAnswer, facts: Facts) -> Facts:
    return facts


@_fold.register
def _(request: Connect, answer: AnyAnswer, facts: Facts) -> Facts:
    simulated = facts.simulated or (isinstance(answer, Connected) and answer.simulated)
    return _changed(facts, connected=True, simulated=simulated)


@_fold.register
def _(request: Home, answer: AnyAnswer, facts: Facts) -> Facts:
    return _changed(facts, homed=True, parked_at=None, z_mm=None)


@_fold.register
def _(request: Warm, answer: AnyAnswer, facts: Facts) -> Facts:
    return _changed(facts, bed_c=request.bed_c, nozzle_c=request.nozzle_c)


@_fold.register
def _(request: CoolDown, answer: AnyAnswer, facts: Facts) -> Facts:
    return _changed(facts, bed_c=0.0, nozzle_c=0.0)


@_fold.register(Park)
@_fold.register(Lower)
def _(request: Park | Lower, answer: AnyAnswer, facts: Facts) -> Facts:
    return _changed(facts, parked_at=request.point, z_mm=request.z_mm)


@_fold.register
def _(request: Lift, answer: AnyAnswer, facts: Facts) -> Facts:
    return _changed(facts, parked_at=None, z_mm=None)


@_fold.register
def _(request: TakeReading, answer: AnyAnswer, facts: Facts) -> Facts:
    if not isinstance(answer, ReadingTaken):
        return facts
    up_mm = request.z_mm - facts.machine.measuring_height_mm
    return in_round(facts, request.round, request.point, answer.reading.shifted(-up_mm))


@_fold.register
def _(request: Feel, answer: AnyAnswer, facts: Facts) -> Facts:
    if not isinstance(answer, Felt):
        return facts
    up_mm = request.z_mm - facts.machine.measuring_height_mm
    running = facts.rounds[-1].readings if request.round <= len(facts.rounds) else {}
    reading = narrow(running.get(request.point), answer.touch, request.card_mm, up_mm)
    return in_round(facts, request.round, request.point, reading)


@_fold.register
def _(request: Turn, answer: AnyAnswer, facts: Facts) -> Facts:
    if not isinstance(answer, Turned) or not facts.rounds:
        return facts
    last = facts.rounds[-1]
    names = {*last.turned, *answer.turns}
    total = {name: last.turned.get(name, 0.0) + answer.turns.get(name, 0.0) for name in sorted(names)}
    return _changed(facts, rounds=(*facts.rounds[:-1], _changed(last, turned=total)), readings={})


@_fold.register
def _(request: SetHeight, answer: AnyAnswer, facts: Facts) -> Facts:
    return _raised(facts, request.change_mm)


def raised_by(facts: Facts, answer: AnyAnswer) -> Facts:
    """Return the facts after a person changed the nozzle height."""
    return _raised(facts, answer.change_mm) if isinstance(answer, HeightChanged) else facts


def _raised(facts: Facts, change_mm: float) -> Facts:
    if not facts.rounds:
        return facts
    last = facts.rounds[-1]
    last = _changed(last, height_change_mm=last.height_change_mm + change_mm)
    return _changed(facts, rounds=(*facts.rounds[:-1], last), readings={})
