"""Readings by the machine's own touch, always checked by gauge at one point.

A touch tells how the points differ. What it is off by, the gauge tells at the point in the middle: that
difference is the probe offset, and every touch is counted with it and with its uncertainty.
"""

from __future__ import annotations

import math

import msgspec

from wizard.procedures.approach import Visit, known
from wizard.procedures.feel import can_narrow
from wizard.procedures.job import Job, Steps
from wizard.procedures.middle import middle_point
from wizard.procedures.reading import points_to_read, read_again, read_point
from wizard.procedures.repeatability import try_touches
from wizard.procedures.route import route
from wizard.procedures.touch_worth import TIMES, Touching
from wizard.requests import Confirm, Home, Lift, Phase, Touched, TouchPoint, TouchTest
from wizard.rounds import Reading

OFFSET_TOUCHES = 5
GAUGE_MM = 0.006
LEAF_MM = 0.010
"""How far a card, and a leaf, may tell a gap wrong: declared assumptions, no standard."""

FINE_MM = 0.012
"""The one point that the probe offset hangs on is read down to a bracket of this width: all gaps share its
error, which no number of touches makes smaller."""

MOST_NARROWINGS = 4


def can_touch(job: Job) -> bool:
    """Tell whether the machine reads its points by itself."""
    return job.machine.probe is not None and not job.facts.by_hand


def learn_touch(job: Job) -> Steps[Touching | None]:
    """Test how well touches repeat, and find the probe offset; None where either cannot be had."""
    sd_mm = yield from try_touches(job)
    if sd_mm is None:
        return None
    job.touching = yield from _compare(job, len(job.facts.rounds) + 1, "first", sd_mm)
    return job.touching


def _compare(job: Job, number: int, phase: Phase, sd_mm: float) -> Steps[Touching | None]:
    """Touch one point and read it by gauge, finely; what the gauge says more than the touch is the offset."""
    point = middle_point(msgspec.structs.replace(job.machine, point=points_to_read(job)))
    answer = yield from job.ask(TouchTest(point, OFFSET_TOUCHES))
    if not isinstance(answer, Touched):
        return None
    touched_mm = job.machine.measuring_height_mm - sum(answer.z_mm) / len(answer.z_mm)
    yield from job.ask(Confirm("gauge-next"))
    read = yield from _by_gauge(job, Visit(point, number, 1, 1, phase))
    if read.low_mm is None or read.high_mm is None:
        return None
    bracket_u_mm = (read.high_mm - read.low_mm) / math.sqrt(12.0)
    by_leaf = job.has_leaves and (phase == "first" or job.facts.gauge == "leaf")
    u_mm = math.hypot(bracket_u_mm, LEAF_MM if by_leaf else GAUGE_MM, sd_mm / math.sqrt(OFFSET_TOUCHES))
    return Touching(sd_mm, round((read.low_mm + read.high_mm) / 2.0 - touched_mm, 4), round(u_mm, 4))


def _by_gauge(job: Job, visit: Visit) -> Steps[Reading]:
    """Read a point by gauge as finely as it tells; nothing known where it was left out."""
    if not (yield from read_point(job, visit)):
        return Reading()
    for _ in range(MOST_NARROWINGS):
        if not can_narrow(known(job, visit), FINE_MM):
            break
        yield from read_again(job, visit.round, visit.phase, (visit.point,))
    return known(job, visit)


def touch_pass(job: Job, number: int, phase: Phase) -> Steps[bool]:
    """Touch every point in round `number`. In the pass that proves it one point is read by gauge, too.

    What gauge and touch differ by then joins what they differed by before. The machine homes anew before:
    each pass has a home position of its own, so that passes together tell more than how often one was met.
    """
    whole = True
    if phase != "first":
        yield from job.ask(Lift())
        yield from job.ask(Home())
    if phase == "verify" and job.touching is not None:
        found = yield from _compare(job, number, phase, job.touching.sd_mm)
        whole = found is not None
        job.touching = job.touching.joined(found) if found else job.touching
    assert job.touching is not None
    yield from touch_all(job, number, phase, job.touching)
    return whole


def touch_all(job: Job, number: int, phase: Phase, by: Touching) -> Steps[None]:
    """Touch every point in round `number`."""
    yield from job.ask(Lift())
    u_mm, offset_u_mm = round(by.u_mm, 4), round(by.offset_u_mm, 4)
    way = route(points_to_read(job), number)
    for nth, point in enumerate(way, 1):
        touch = TouchPoint(point.name, number, nth, len(way), phase, TIMES, by.offset_mm, u_mm, offset_u_mm)
        yield from job.ask(touch)
