"""The nozzle height by an endstop screw: the first turn teaches its direction and pitch, two more end it.

After each turn the machine is homed, as the screw only counts from then on, and one point is read.
"""

from __future__ import annotations

import msgspec

from profiles.machine import Machine, Thread
from wizard.procedures.approach import Visit, doubts_mm, known
from wizard.procedures.job import Job, Steps
from wizard.procedures.middle import middle_point
from wizard.procedures.reading import read_point
from wizard.procedures.screw_pitch import (
    Before,
    ScrewPitch,
    change_u_mm,
    learned,
    nominal,
    wished_turns,
)
from wizard.requests import Home, Turned, TurnEndstop
from wizard.solver import expect
from wizard.solver.finding import Finding

MOST_TURNS = 3
"""One to learn by, and two more."""

MOST_TRIES = 4
"""So many turns of unknown direction may tell nothing, as the gap stays beyond the gauge."""

WORTH_STEPS = 0.6
"""What is nearer than this to where it stands is left: another step would only go past it."""

COARSE_MM = 0.15
"""While some gap lies beyond the gauge the height is a guess: less than this is left to the next pass."""


def turn_endstop(job: Job, finding: Finding, screw: Thread) -> Steps[None]:
    """Turn, home, read one point, learn; until less than half a step is left, at most three times.

    A coarse change is only brought to its end: by it points come into range of which nothing is known yet.
    """
    pitch, wanted_mm = job.endstop or nominal(screw), finding.height_change_mm or 0.0
    made, told = 0.0, 0
    left_mm, most_tries = wanted_mm, pitch.tries + MOST_TRIES
    while told < MOST_TURNS and pitch.tries < most_tries:
        turns = _wanted_turns(pitch, screw, left_mm)
        this = (yield from _turn(job, finding, pitch, turns)) if turns else None
        if this is None:
            return
        made += this
        pitch = job.endstop = yield from _learnt(job, pitch, this)
        told += pitch.sure
        left_mm = _left_mm(job, finding, wanted_mm - made * pitch.mm_per_turn) if pitch.sure else wanted_mm


def _turn(job: Job, finding: Finding, pitch: ScrewPitch, turns: float) -> Steps[float | None]:
    """Have the screw turned and the machine homed; return the turns made, None where it was left."""
    change_mm, u_mm = turns * pitch.mm_per_turn, change_u_mm(pitch, turns)
    answer = yield from job.ask(TurnEndstop(turns, change_mm, finding, u_mm))
    if not isinstance(answer, Turned):
        return None
    yield from job.ask(Home())
    return sum(answer.turns.values())


def _left_mm(job: Job, finding: Finding, by_count_mm: float) -> float:
    """Return how far the nozzle has still to be raised; of a coarse change what the turns have not made."""
    if not finding.coarse:
        return _by_readings_mm(job)
    return by_count_mm if abs(by_count_mm) >= COARSE_MM else 0.0


def _wanted_turns(pitch: ScrewPitch, screw: Thread, change_mm: float) -> float:
    """Return whole steps of the screw; none where what is wanted is too little to be worth a step."""
    steps = wished_turns(pitch, change_mm) / screw.step_turns
    return round(steps) * screw.step_turns if abs(steps) > WORTH_STEPS else 0.0


def _by_readings_mm(job: Job) -> float:
    """Return how far the nozzle has still to be raised, so that it is off by the same at both extremes."""
    gaps = [job.guessed(point.name)[0] for point in job.machine.point]
    return job.machine.wanted_gap_mm - (max(gaps) + min(gaps)) / 2.0


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


def screw_of(machine: Machine) -> Thread | None:
    """Return the endstop screw, where the nozzle height is set by one."""
    return machine.height.screw if machine.height.by == "endstop screw" else None
