"""The nozzle height by an endstop screw: the first turn teaches its direction and pitch, two more end it.

After each turn the machine is homed, as the screw only counts from then on, and one point is read.
"""

from __future__ import annotations

import math

import msgspec

from profiles.machine import Machine, Thread
from profiles.threads import mm_per_turn, raise_per_clockwise_turn_mm
from wizard.procedures.approach import Visit, doubts_mm, known
from wizard.procedures.job import Job, ScrewPitch, Steps
from wizard.procedures.middle import middle_point
from wizard.procedures.reading import read_point
from wizard.requests import Home, Turned, TurnEndstop
from wizard.rounds import Reading
from wizard.solver import expect
from wizard.solver.finding import Finding

MOST_TURNS = 3
"""One to learn by, and two more."""

TEST_TURNS = 0.25
"""A first turn of unknown direction is no larger, so that it does little harm if it goes the other way."""

WORTH_STEPS = 0.6
"""What is nearer than this to where it stands is left: another step would only go past it."""

PITCH_SPREAD = 0.08
"""Relative standard uncertainty of what a screw does before it was tried: common practice, no source."""

HAND_TURNS = 6.0 / 360.0
"""How exactly a hand turns it: common practice, no source."""

HAND_MM = 0.007
"""Repeatability of hand and gauge, joined with that of homing: common practice, no source."""


def nominal(screw: Thread) -> ScrewPitch:
    """Return what the profile says of the screw; of unknown direction it is taken to raise, not surely."""
    signed_mm, size_mm = raise_per_clockwise_turn_mm(screw), mm_per_turn(screw)
    u_mm = PITCH_SPREAD * size_mm
    return ScrewPitch(size_mm, u_mm, sure=False) if signed_mm is None else ScrewPitch(signed_mm, u_mm)


def turn_endstop(job: Job, finding: Finding, screw: Thread) -> Steps[None]:
    """Turn, home, read one point, learn; until less than half a step is left, at most three times."""
    pitch, wanted_mm = job.endstop or nominal(screw), finding.height_change_mm or 0.0
    for _ in range(MOST_TURNS):
        turns = _wanted_turns(pitch, screw, wanted_mm)
        if not turns:
            return
        change_mm, u_mm = turns * pitch.mm_per_turn, _change_u_mm(pitch, turns)
        answer = yield from job.ask(TurnEndstop(turns, change_mm, finding, u_mm))
        if not isinstance(answer, Turned):
            return
        yield from job.ask(Home())
        pitch = job.endstop = yield from _learnt(job, pitch, sum(answer.turns.values()))
        wanted_mm = _left_mm(job)


def _wanted_turns(pitch: ScrewPitch, screw: Thread, change_mm: float) -> float:
    """Return whole steps of the screw; a small try where its direction is not known."""
    turns = change_mm / pitch.mm_per_turn
    if not pitch.sure:
        turns = min(max(turns, -TEST_TURNS), TEST_TURNS)
    steps = turns / screw.step_turns
    return round(steps) * screw.step_turns if abs(steps) > WORTH_STEPS else 0.0


def _left_mm(job: Job) -> float:
    """Return how far the nozzle has still to be raised, so that it is off by the same at both extremes."""
    gaps = [gap_mm for gap_mm, _ in expect(job.machine, job.facts.rounds).values()]
    return job.machine.wanted_gap_mm - (max(gaps) + min(gaps)) / 2.0


def _change_u_mm(pitch: ScrewPitch, turns: float) -> float:
    """Return the standard uncertainty of a turn's effect; until its direction is sure it may be either."""
    if not pitch.sure:
        return 1.2 * abs(turns * pitch.mm_per_turn)
    return math.hypot(pitch.u_mm * turns, HAND_TURNS * pitch.mm_per_turn)


def _learnt(job: Job, pitch: ScrewPitch, turns: float) -> Steps[ScrewPitch]:
    """Read the point in the middle and return what the screw is known to do now."""
    point = middle_point(job.machine)
    before_mm, u_mm = _without_the_turn(job, point)
    doubt_mm = doubts_mm(job.machine, job.facts.rounds).get(point, 0.0)
    visit = Visit(point, len(job.facts.rounds) + 1, 1, 1, "adjust", doubt_mm)
    if not (yield from read_point(job, visit)):
        return pitch
    return learned(pitch, turns, Before(before_mm, u_mm), known(job, visit))


def _without_the_turn(job: Job, point: str) -> tuple[float, float]:
    """Return the gap that would be there had the screw not been turned, and its standard uncertainty."""
    *done, last = job.facts.rounds
    still = msgspec.structs.replace(last, height_change_mm=0.0, height_u_mm=0.0)
    return expect(job.machine, (*done, still))[point]


class Before(msgspec.Struct, frozen=True):
    """The gap to expect with the screw as it was, and its standard uncertainty, mm."""

    gap_mm: float
    u_mm: float


def learned(pitch: ScrewPitch, turns: float, before: Before, after: Reading) -> ScrewPitch:
    """Return what the screw does by what was known and what a turn has shown (weighted mean, JCGM 100).

    A reading open on one side, or no turn, teaches nothing.
    """
    if after.low_mm is None or after.high_mm is None or not turns:
        return pitch
    change_mm = (after.low_mm + after.high_mm) / 2.0 - before.gap_mm
    read_u_mm = (after.high_mm - after.low_mm) / math.sqrt(12.0)
    by_hand_mm = HAND_TURNS * abs(pitch.mm_per_turn)
    seen_mm = change_mm / turns
    seen_u_mm = math.hypot(before.u_mm, read_u_mm, HAND_MM, by_hand_mm) / abs(turns)
    size_mm = abs(pitch.mm_per_turn)
    usual_mm = math.copysign(size_mm, seen_mm) if not pitch.sure else pitch.mm_per_turn
    weights = pitch.u_mm**-2, seen_u_mm**-2
    mean_mm = (usual_mm * weights[0] + seen_mm * weights[1]) / sum(weights)
    return ScrewPitch(mean_mm, sum(weights) ** -0.5, sure=pitch.sure or abs(seen_mm) > seen_u_mm)


def screw_of(machine: Machine) -> Thread | None:
    """Return the endstop screw, where the nozzle height is set by one."""
    return machine.height.screw if machine.height.by == "endstop screw" else None
