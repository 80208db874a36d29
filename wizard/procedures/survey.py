"""Measure only: one pass over all points, what is doubtful once more. Nothing is changed."""

from __future__ import annotations

from wizard.facts import Facts
from wizard.procedures.job import Job, Steps
from wizard.procedures.preflight import prepare
from wizard.procedures.reading import can_tell_more, read_again, read_pass
from wizard.procedures.touching import can_touch, learn_touch, touch_pass
from wizard.requests import CoolDown, Lift, Outcome, Phase, ShowResult, Topic
from wizard.solver import solve
from wizard.solver.finding import PointFinding

BEFORE: tuple[Topic, ...] = ("cautions", "clean-tip", "bed-clear")
"""Adjusters are left as they stand."""

PHASE: Phase = "adjust"
"""A pass that proves nothing has changed hands, and is read as finely as any later one."""

MOST_REPEATS = 3
"""How often what is undecided is read once more: from high up the first leaves lie a tenth apart, and three
halvings bring that to an eightieth."""


def survey(facts: Facts) -> Steps[Outcome]:
    """Measure every point; return what was found. It is proven where every gap is within tolerance."""
    job = Job(facts)
    yield from prepare(job, BEFORE)
    whole = yield from _measure(job)
    finding = solve(job.machine, job.facts.rounds)
    yield from job.ask(Lift())
    yield from job.ask(CoolDown())
    proven = whole and finding.verdict == "within"
    yield from job.ask(ShowResult(finding, 1, proven, measured_only=True))
    return Outcome(finding, 1, proven)


def _measure(job: Job) -> Steps[bool]:
    """Read every point, by touch where the machine's own repeats well enough. False: one was left out."""
    by = (yield from learn_touch(job)) if can_touch(job) else None
    if by is not None:
        return (yield from touch_pass(job, 1, PHASE))
    whole = yield from read_pass(job, 1, PHASE)
    for _ in range(MOST_REPEATS):
        if unsure := _unsure(job):
            whole &= yield from read_again(job, 1, PHASE, unsure)
    return whole


def _unsure(job: Job) -> tuple[str, ...]:
    """Return the points that are neither within nor outside, as far as the gauge can still tell more."""
    if not job.facts.rounds:
        return ()
    read, finding = job.facts.rounds[0].readings, solve(job.machine, job.facts.rounds)
    return tuple(
        name
        for name, point in finding.points.items()
        if _is_open(job, point) and (name not in read or can_tell_more(job, read[name]))
    )


def _is_open(job: Job, point: PointFinding) -> bool:
    """Tell whether neither within nor outside is proven of a point (ISO 14253-1, U = 2u)."""
    off_mm, tolerance_mm = abs(point.deviation_mm), job.machine.first_layer.tolerance_mm
    return abs(off_mm - tolerance_mm) < 2.0 * point.u_mm
