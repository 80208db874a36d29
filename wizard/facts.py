"""What is known of a job so far: folded from its requests and answers, so that procedure, screens,
wording and the restart after a break all see the same. Pure.
"""

from __future__ import annotations

import math
from functools import singledispatch

import msgspec

from profiles.grid import GridValue
from profiles.machine import Machine
from wizard.base import Base
from wizard.readings import narrow
from wizard.requests import (
    AS_SUSPECTED,
    AnyAnswer,
    AnyRequest,
    AskSheet,
    ChangeHeightByMenu,
    Choose,
    Chosen,
    Connect,
    Connected,
    CoolDown,
    EnterGrid,
    Feel,
    Felt,
    FollowGrid,
    HeightChanged,
    Home,
    Lift,
    LookForDaylight,
    Lower,
    MoveMotors,
    Park,
    ReadingTaken,
    Reconnect,
    Seen,
    SetHeight,
    Skipped,
    Soak,
    TakeReading,
    Thickness,
    Touched,
    TouchGrid,
    TouchPoint,
    TouchTest,
    Turn,
    Turned,
    TurnEndstop,
    Warm,
)
from wizard.rounds import Reading, Round, joined
from wizard.solver.finding import Finding

CARD_TOLERANCE_MM = 0.08
"""How far a bank card may be off its 0.76 mm: ISO/IEC 7810, ID-1."""

BETWEEN_MM = 0.10
"""How far a gap between the places of a grid may be off what the grid makes of them: no source, wide."""

AT_PLACE_MM = 0.012
"""How far a gap at a place of the grid may be off: half a bracket as a card gives it."""

REALLY_TURNED = {"turned-other-way": -1.0, "not-turned": 0.0}
"""What a suspected turn really was, as a multiple of the turn that was reported."""


class Facts(msgspec.Struct, frozen=True):
    """A job so far.

    rounds: all rounds, readings at the measuring height; the last is the running one.
    readings: the newest reading of each point since the plate or the nozzle height last changed.
    finding: the newest finding that a request carried.
    parked_at, z_mm: where the nozzle stands by what was asked and done; None where not parked.
    bed_c, nozzle_c: temperatures last asked for and reached; soaked: the plate has rested at them.
    base: the proven run that a recheck compares with.
    gauge: the way of reading gaps that was chosen ("leaf" or "feel"; "" before the choice).
    sheet_mm: the thickness of one shim sheet as the person told it, None while it was not asked.
    probe_offset_mm: what gauge and touch differ by, None before any point was touched.
    following: the machine follows a grid of its own now, and `machine` has the points that verify it, too.
    """

    machine: Machine
    by_hand: bool = False
    simulated: bool = False
    connected: bool = False
    homed: bool = False
    bed_c: float = 0.0
    nozzle_c: float = 0.0
    soaked: bool = False
    gauge: str = ""
    sheet_mm: float | None = None
    following: bool = False
    probe_offset_mm: float | None = None
    parked_at: str | None = None
    z_mm: float | None = None
    rounds: tuple[Round, ...] = ()
    readings: dict[str, Reading] = {}
    finding: Finding | None = None
    answers: int = 0
    base: Base | None = None


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
    reading = _clean(reading)
    rounds = facts.rounds if number <= len(facts.rounds) else (*facts.rounds, Round())
    last = rounds[-1]
    last = _changed(last, readings={**last.readings, point: reading})
    readings = {**facts.readings, point: reading}
    return _changed(facts, rounds=(*rounds[:-1], last), readings=readings)


def read_so_far(facts: Facts, number: int, point: str) -> Reading | None:
    """Return what round `number` knows of `point` by now, None where it was not read in that round."""
    return facts.rounds[-1].readings.get(point) if number == len(facts.rounds) else None


def _add_reading(facts: Facts, number: int, point: str, reading: Reading) -> Facts:
    return in_round(facts, number, point, joined(read_so_far(facts, number, point), reading))


def _up_mm(facts: Facts, z_mm: float) -> float:
    """Return how far a nozzle at `z_mm` stands above the measuring height."""
    return z_mm - facts.machine.measuring_height_mm


def _clean(reading: Reading) -> Reading:
    """Return the reading without the last digits of binary sums, so that it is written as it is meant."""
    low = None if reading.low_mm is None else round(reading.low_mm, 6)
    high = None if reading.high_mm is None else round(reading.high_mm, 6)
    return Reading(low, high, reading.how)


@singledispatch
def _fold(request: object, answer: AnyAnswer, facts: Facts) -> Facts:
    return facts


@_fold.register
def _(request: Connect, answer: AnyAnswer, facts: Facts) -> Facts:
    simulated = facts.simulated or (isinstance(answer, Connected) and answer.simulated)
    return _changed(facts, connected=True, simulated=simulated)


@_fold.register
def _(request: Choose, answer: AnyAnswer, facts: Facts) -> Facts:
    if not isinstance(answer, Chosen):
        return facts
    if request.topic == "gauge":
        return _changed(facts, gauge=answer.option)
    if request.topic == "suspicion" and answer.option == AS_SUSPECTED:
        return _as_suspected(facts, request.finding)
    return facts


def _as_suspected(facts: Facts, finding: Finding | None) -> Facts:
    """Correct the newest turns of the suspected adjuster (none named: of all) by what the person says."""
    story = finding.suspicion if finding else None
    if story is None or story.kind not in REALLY_TURNED:
        return facts
    for i in reversed(range(len(facts.rounds))):
        turned = facts.rounds[i].turned
        names = [name for name, turns in turned.items() if turns and story.adjuster in (name, None)]
        if names:
            really = {name: REALLY_TURNED[story.kind] * turned[name] for name in names}
            mended = _changed(facts.rounds[i], turned={**turned, **really})
            return _changed(facts, rounds=(*facts.rounds[:i], mended, *facts.rounds[i + 1 :]))
    return facts


@_fold.register
def _(request: Home, answer: AnyAnswer, facts: Facts) -> Facts:
    return _changed(facts, homed=True, parked_at=None, z_mm=None)


@_fold.register
def _(request: Warm, answer: AnyAnswer, facts: Facts) -> Facts:
    return _changed(facts, bed_c=request.bed_c, nozzle_c=request.nozzle_c, soaked=False)


@_fold.register
def _(request: Soak, answer: AnyAnswer, facts: Facts) -> Facts:
    return _changed(facts, soaked=True)


@_fold.register
def _(request: CoolDown, answer: AnyAnswer, facts: Facts) -> Facts:
    return _changed(facts, bed_c=0.0, nozzle_c=0.0, soaked=False)


@_fold.register
def _(request: Reconnect, answer: AnyAnswer, facts: Facts) -> Facts:
    """A machine that was switched off and on knows nothing of where it is, and is cold."""
    return _changed(facts, homed=False, parked_at=None, z_mm=None, bed_c=0.0, nozzle_c=0.0, soaked=False)


@_fold.register
def _(request: EnterGrid, answer: AnyAnswer, facts: Facts) -> Facts:
    return to_verify(facts, request.values)


@_fold.register
def _(request: FollowGrid, answer: AnyAnswer, facts: Facts) -> Facts:
    return to_verify(facts, request.values)


def to_verify(facts: Facts, values: tuple[GridValue, ...]) -> Facts:
    """Return the facts of a machine that follows its grid: it is judged by the grid's places and by others.

    The gaps of the former are what the grid makes of them; the latter are read now, with little expected.
    """
    machine = facts.machine
    part = machine.compensation
    if part is None:
        return facts
    if not part.check:
        return _changed(facts, rounds=(), readings={}, following=True)
    surely = _changed(machine, point=machine.every_point)
    expected = {point.name: _between_points(facts, values) for point in part.check}
    expected |= {point.name: _of_the_grid(facts) for point in machine.point}
    return _changed(facts, machine=surely, rounds=(Round(readings=expected),), readings={}, following=True)


def _of_the_grid(facts: Facts) -> Reading:
    """Return what a gap at one of the grid's places is made to be: the wanted one, as well as it was read."""
    wanted_mm = facts.machine.wanted_gap_mm
    return Reading(round(wanted_mm - AT_PLACE_MM, 6), round(wanted_mm + AT_PLACE_MM, 6), "given")


def _between_points(facts: Facts, values: tuple[GridValue, ...]) -> Reading:
    """Return what may be expected of a gap between the grid's places: the wanted one, give or take."""
    wanted_mm = facts.machine.wanted_gap_mm
    steepest = max((abs(value.offset_mm) for value in values), default=0.0)
    either_mm = BETWEEN_MM + steepest / 4.0
    return Reading(round(wanted_mm - either_mm, 6), round(wanted_mm + either_mm, 6), "given")


@_fold.register
def _(request: TouchPoint, answer: AnyAnswer, facts: Facts) -> Facts:
    """A touch is a reading: how far the contact lies below the measuring height, and the offset."""
    if not isinstance(answer, Touched) or not answer.z_mm:
        return facts
    mean_mm = sum(answer.z_mm) / len(answer.z_mm)
    gap_mm = facts.machine.measuring_height_mm - mean_mm + request.offset_mm
    half_mm = math.sqrt(3.0) * request.u_mm  # a bracket of this half width has the standard uncertainty u_mm
    reading = Reading(gap_mm - half_mm, gap_mm + half_mm, "probe")
    facts = _changed(_away(facts), probe_offset_mm=request.offset_mm)
    return _add_reading(facts, request.round, request.point, reading)


@_fold.register(TouchTest)
@_fold.register(TouchGrid)
def _(request: TouchTest | TouchGrid, answer: AnyAnswer, facts: Facts) -> Facts:
    return _away(facts)


@_fold.register
def _(request: MoveMotors, answer: AnyAnswer, facts: Facts) -> Facts:
    return _turned(_away(facts), answer.turns) if isinstance(answer, Turned) else facts


def _away(facts: Facts) -> Facts:
    """Return the facts with the nozzle lifted somewhere."""
    return _changed(facts, parked_at=None, z_mm=None)


@_fold.register(Park)
@_fold.register(Lower)
def _(request: Park | Lower, answer: AnyAnswer, facts: Facts) -> Facts:
    return _changed(facts, parked_at=request.point, z_mm=request.z_mm)


@_fold.register
def _(request: Lift, answer: AnyAnswer, facts: Facts) -> Facts:
    return _changed(facts, parked_at=None, z_mm=None)


@_fold.register
def _(request: LookForDaylight, answer: AnyAnswer, facts: Facts) -> Facts:
    if not isinstance(answer, Seen):
        return facts
    up_mm = _up_mm(facts, request.z_mm)
    if answer.clear:
        seen = Reading(low_mm=request.thick_mm - CARD_TOLERANCE_MM - up_mm, how="leaf")
    else:
        seen = Reading(high_mm=request.thick_mm + CARD_TOLERANCE_MM - up_mm, how="leaf")
    return _add_reading(facts, request.round, request.point, seen)


@_fold.register
def _(request: TakeReading, answer: AnyAnswer, facts: Facts) -> Facts:
    if not isinstance(answer, ReadingTaken):
        return facts
    reading = answer.reading.shifted(-_up_mm(facts, request.z_mm))
    return _add_reading(facts, request.round, request.point, reading)


@_fold.register
def _(request: Feel, answer: AnyAnswer, facts: Facts) -> Facts:
    if not isinstance(answer, Felt):
        return facts
    felt = narrow(None, answer.touch, request.card_mm, _up_mm(facts, request.z_mm))
    return _add_reading(facts, request.round, request.point, felt)


@_fold.register
def _(request: Turn, answer: AnyAnswer, facts: Facts) -> Facts:
    return _turned(facts, answer.turns) if isinstance(answer, Turned) else facts


def _turned(facts: Facts, turns: dict[str, float]) -> Facts:
    """Return the facts with turns made after the running round."""
    if not facts.rounds:
        return facts
    last = facts.rounds[-1]
    names = {*last.turned, *turns}
    total = {name: last.turned.get(name, 0.0) + turns.get(name, 0.0) for name in sorted(names)}
    return _changed(facts, rounds=(*facts.rounds[:-1], _changed(last, turned=total)), readings={})


@_fold.register
def _(request: SetHeight, answer: AnyAnswer, facts: Facts) -> Facts:
    return _raised(facts, request.change_mm)


@_fold.register
def _(request: TurnEndstop, answer: AnyAnswer, facts: Facts) -> Facts:
    if not isinstance(answer, Turned) or not request.turns:
        return facts
    share = sum(answer.turns.values()) / request.turns
    return _raised(facts, request.change_mm * share, request.u_mm * abs(share))


@_fold.register
def _(request: AskSheet, answer: AnyAnswer, facts: Facts) -> Facts:
    """Count with the sheets at hand from now on: the machine's shims have the thickness that was told."""
    if not isinstance(answer, Thickness):
        return facts
    sheets = (
        _changed(a, mm_per_turn=answer.thick_mm) if a.kind == "shim" else a for a in facts.machine.adjuster
    )
    return _changed(facts, machine=_changed(facts.machine, adjuster=tuple(sheets)), sheet_mm=answer.thick_mm)


@_fold.register
def _(request: ChangeHeightByMenu, answer: AnyAnswer, facts: Facts) -> Facts:
    return _raised(facts, answer.change_mm) if isinstance(answer, HeightChanged) else facts


def _raised(facts: Facts, change_mm: float, u_mm: float = 0.0) -> Facts:
    """Return the facts with the nozzle raised by `change_mm` after the running round."""
    if not facts.rounds:
        return facts
    last = facts.rounds[-1]
    height_mm, u_mm = last.height_change_mm + change_mm, math.hypot(last.height_u_mm, u_mm)
    last = _changed(last, height_change_mm=height_mm, height_u_mm=u_mm)
    return _changed(facts, rounds=(*facts.rounds[:-1], last), readings={})
