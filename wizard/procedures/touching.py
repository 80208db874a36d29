"""Readings by the machine's own touch, always checked by gauge at one point.

A touch tells how the points differ. What it is off by, the gauge tells at the point in the middle: that
difference is the probe offset, and every touch is counted with it and with its uncertainty.
"""

from __future__ import annotations

import math

import msgspec

from wizard.procedures.approach import Visit, doubts_mm, known
from wizard.procedures.feel import can_narrow
from wizard.procedures.job import Job, Steps
from wizard.procedures.middle import middle_point
from wizard.procedures.reading import points_to_read, read_again, read_point
from wizard.procedures.repeatability import try_touches
from wizard.procedures.route import route
from wizard.requests import Confirm, Lift, Phase, Touched, TouchPoint, TouchTest

TIMES = 2
"""Each point is touched so often; the mean counts."""

OFFSET_TOUCHES = 5
GAUGE_MM = 0.006
"""Repeatability of a hand with a gauge: common practice, no source."""

FINE_MM = 0.02
"""The one point that the probe offset hangs on is read down to a bracket of this width."""

MOST_NARROWINGS = 3


class Touching(msgspec.Struct, frozen=True):
    """What a touch is worth: its standard deviation, the probe offset, that one's uncertainty, mm."""

    sd_mm: float
    offset_mm: float
    offset_u_mm: float

    @property
    def u_mm(self) -> float:
        """Standard uncertainty of a gap by the mean of a point's touches."""
        return math.hypot(self.sd_mm / math.sqrt(TIMES), self.offset_u_mm)


def can_touch(job: Job) -> bool:
    """Tell whether the machine reads its points by itself."""
    return job.machine.probe is not None and not job.facts.by_hand


def learn_touch(job: Job) -> Steps[Touching | None]:
    """Test how well touches repeat, and find the probe offset; None where either cannot be had."""
    sd_mm = yield from try_touches(job)
    if sd_mm is None:
        return None
    point = middle_point(job.machine)
    answer = yield from job.ask(TouchTest(point, OFFSET_TOUCHES))
    if not isinstance(answer, Touched):
        return None
    touched_mm = job.machine.measuring_height_mm - sum(answer.z_mm) / len(answer.z_mm)
    yield from job.ask(Confirm("gauge-next"))
    return (yield from _by_gauge(job, point, touched_mm, sd_mm))


def _by_gauge(job: Job, point: str, touched_mm: float, sd_mm: float) -> Steps[Touching | None]:
    """Read the point by gauge, finely; the offset is what the gauge says more than the touch."""
    visit = Visit(point, len(job.facts.rounds) + 1, 1, 1, "first")
    if not (yield from read_point(job, visit)):
        return None
    for _ in range(MOST_NARROWINGS):
        if not can_narrow(known(job, visit), FINE_MM):
            break
        yield from read_again(job, visit.round, visit.phase, (point,))
    read = known(job, visit)
    if read.low_mm is None or read.high_mm is None:
        return None
    bracket_u_mm = (read.high_mm - read.low_mm) / math.sqrt(12.0)
    u_mm = math.hypot(bracket_u_mm, GAUGE_MM, sd_mm / math.sqrt(OFFSET_TOUCHES))
    return Touching(sd_mm, round((read.low_mm + read.high_mm) / 2.0 - touched_mm, 4), round(u_mm, 4))


def touch_pass(job: Job, number: int, phase: Phase, by: Touching) -> Steps[bool]:
    """Touch every point in round `number`; in the pass that proves it, one point is read by gauge, too."""
    yield from touch_all(job, number, phase, by)
    if phase != "verify":
        return True
    yield from job.ask(Confirm("gauge-next"))
    return (yield from _check_one(job, number, phase))


def touch_all(job: Job, number: int, phase: Phase, by: Touching) -> Steps[None]:
    """Touch every point in round `number`."""
    yield from job.ask(Lift())
    way = route(points_to_read(job), number)
    for nth, point in enumerate(way, 1):
        touch = TouchPoint(point.name, number, nth, len(way), phase, TIMES, by.offset_mm, round(by.u_mm, 4))
        yield from job.ask(touch)


def _check_one(job: Job, number: int, phase: Phase) -> Steps[bool]:
    """Read the middle one of the points just touched by gauge."""
    point = middle_point(msgspec.structs.replace(job.machine, point=points_to_read(job)))
    doubt_mm = doubts_mm(job.machine, job.facts.rounds).get(point, 0.0)
    visit = Visit(point, number, 1, 1, phase, doubt_mm)
    return (yield from read_again(job, number, visit.phase, (point,)))
