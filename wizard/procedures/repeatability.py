"""How well the machine's touch repeats: the repeatability standard deviation, before any touch is believed.

ISO 5725-2: same place, same machine, touches in quick succession, nothing changed between.
"""

from __future__ import annotations

from statistics import stdev

from wizard.procedures.job import Job, Steps
from wizard.procedures.middle import middle_point
from wizard.requests import TOUCH_AGAIN, Chosen, ShowTouches, Touched, TouchTest

TOUCHES = 10
MOST_TESTS = 4
LEAST_SD_MM = 0.001
"""Ten touches that happen to agree do not prove that the next one does: numbers come in thousandths."""


def repeatability_mm(z_mm: tuple[float, ...]) -> float:
    """Return the standard deviation of touches of one place, mm; two at least."""
    return max(stdev(z_mm), LEAST_SD_MM)


def try_touches(job: Job) -> Steps[float | None]:
    """Return the standard deviation of a touch; None where it stays above the limit of the profile."""
    limit_mm = limit_of(job)
    for _ in range(MOST_TESTS):
        sd_mm = yield from test_touches(job)
        if sd_mm <= limit_mm:
            return sd_mm
        if (yield from job.ask(ShowTouches(sd_mm, TOUCHES, limit_mm))) != Chosen(TOUCH_AGAIN):
            return None
    return None


def test_touches(job: Job) -> Steps[float]:
    """Touch one place so often and return the standard deviation, mm."""
    probe = job.machine.probe
    assert probe is not None
    place = None if probe.kind == "touch plate" and probe.at_mm else middle_point(job.machine)
    answer = yield from job.ask(TouchTest(place, TOUCHES))
    return repeatability_mm(answer.z_mm) if isinstance(answer, Touched) else float("inf")


def limit_of(job: Job) -> float:
    """Return the largest standard deviation at which the touches of this machine are believed, mm."""
    probe = job.machine.probe
    assert probe is not None
    return probe.repeatability_limit_mm
