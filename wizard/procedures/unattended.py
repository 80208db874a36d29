"""The recheck that nobody attends: the machine touches its plate, mends what it can by itself, touches again.

It asks nobody. What a touch is off by is taken from the last job in which a gauge was held against it.
Whatever is changed is bounded: how often, and how far the nozzle may be lowered on a touch's word alone.
"""

from __future__ import annotations

from wizard.facts import Facts
from wizard.procedures.compensate import bare, follow, way_to_compensate
from wizard.procedures.height import change_height, is_wanted
from wizard.procedures.job import Job, Steps
from wizard.procedures.moving import by_motors
from wizard.procedures.repeatability import limit_of, test_touches
from wizard.procedures.safe_height import kept_free
from wizard.procedures.touch_worth import Touching
from wizard.procedures.touching import touch_all
from wizard.requests import Connect, CoolDown, Home, Lift, MoveMotors, Outcome, Soak, Warm
from wizard.solver import solve
from wizard.solver.finding import Finding

MOST_PASSES = 4
"""So many passes, with what is mended between them; what is not right then needs a person."""

MOST_LOWER_MM = 0.5
"""How much lower a touch alone may set the nozzle: more than nozzles differ by (no source)."""


def unattended(facts: Facts) -> Steps[Outcome]:
    """Touch, mend, touch again; returns what was reached. ValueError without a base that tells the offset."""
    base = facts.base
    if base is None or base.probe_offset_mm is None:
        raise ValueError("an unattended recheck needs a proven run in which touch and gauge were compared")
    job = Job(facts)
    yield from _get_ready(job)
    yield from bare(job)
    sd_mm = yield from test_touches(job)
    if sd_mm > limit_of(job):
        return (yield from _end(job, None))
    by = Touching(sd_mm, base.probe_offset_mm, base.probe_u_mm)
    finding = yield from _until_within(job, by)
    way = way_to_compensate(job, finding, by)
    if way is not None and not _too_low(finding):
        yield from job.ask(Lift())
        yield from follow(job, way, by)
        finding = yield from _until_within(job, by)
    return (yield from _end(job, finding))


def _get_ready(job: Job) -> Steps[None]:
    """Connect, warm up, let the plate come to rest, home."""
    heat = job.machine.heat
    yield from job.ask(Connect())
    if heat.bed_c > 0.0 or heat.nozzle_c > 0.0:
        yield from job.ask(Warm(heat.bed_c, heat.nozzle_c))
        if heat.soak_min > 0.0:
            yield from job.ask(Soak(heat.soak_min))
    yield from job.ask(Home())


def _until_within(job: Job, by: Touching) -> Steps[Finding]:
    """Touch every point and mend, pass by pass."""
    for nth in range(MOST_PASSES):
        if nth:  # a home position of its own for each pass
            yield from job.ask(Home())
        number = len(job.facts.rounds) + 1
        yield from touch_all(job, number, "verify" if nth else "first", by)
        finding = kept_free(job.facts, solve(job.machine, job.facts.rounds))
        if finding.verdict == "within" or nth == MOST_PASSES - 1:
            break
        if not (yield from _mend(job, finding, number)):
            break
    return finding


def _mend(job: Job, finding: Finding, number: int) -> Steps[bool]:
    """Change what the machine can change by itself; False where that is nothing, or more than it may."""
    if finding.turns and not by_motors(job):
        return False
    height = is_wanted(finding) and job.machine.height.by == "stored offset" and not _too_low(finding)
    if not finding.turns and not height:
        return finding.status == "measure-again"
    yield from job.ask(Lift())
    if finding.turns:
        yield from job.ask(MoveMotors(finding.turns, number, finding))
    if height:
        yield from change_height(job, finding)
    return True


def _too_low(finding: Finding) -> bool:
    """Tell whether the nozzle would come down farther than a touch alone is trusted for."""
    return (finding.height_change_mm or 0.0) < -MOST_LOWER_MM


def _end(job: Job, finding: Finding | None) -> Steps[Outcome]:
    """Lift, heaters off."""
    yield from job.ask(Lift())
    yield from job.ask(CoolDown())
    proven = finding is not None and finding.verdict == "within"
    return Outcome(finding, job.facts.rounds_read, proven)
