"""What comes before the first reading and after the last: cautions, line, heat, homing, the end."""

from __future__ import annotations

from wizard.procedures.firstlayer import can_print, check_print, checks_of
from wizard.procedures.job import Job, Steps
from wizard.procedures.stored import survives_restart
from wizard.requests import (
    CHECK_PRINT,
    Choose,
    Chosen,
    Confirm,
    Connect,
    CoolDown,
    Home,
    Lift,
    Outcome,
    ShowResult,
    Soak,
    Topic,
    Warm,
)
from wizard.solver import cannot_agree
from wizard.solver.finding import Finding

BEFORE: tuple[Topic, ...] = ("cautions", "clean-tip", "bed-clear", "snug-adjusters")


def prepare(job: Job, before: tuple[Topic, ...] = BEFORE) -> Steps[None]:
    """Go from cautions to a homed machine at measuring temperature, with a gauge chosen."""
    for topic in before:
        yield from job.ask(Confirm(topic))
    limits = cannot_agree(job.machine)
    if limits is not None:
        yield from job.ask(
            Confirm("tolerance-too-fine", Finding("undecided", "measure-again", limits=limits))
        )
    yield from job.ask(Connect())
    yield from job.ask(Confirm("hands-clear"))
    yield from _heat(job)
    yield from job.ask(Home())
    yield from _choose_gauge(job)


def _heat(job: Job) -> Steps[None]:
    """Warm up and let the plate take its shape, where the profile measures warm."""
    heat = job.machine.heat
    if heat.bed_c <= 0.0 and heat.nozzle_c <= 0.0:
        return
    yield from job.ask(Warm(heat.bed_c, heat.nozzle_c))
    if heat.soak_min > 0.0:
        yield from job.ask(Soak(heat.soak_min))


def gauges(job: Job) -> tuple[str, ...]:
    """Return the ways of reading a gap that this machine allows.

    Feeling needs a nozzle that comes down by hundredths, which a hand at a menu cannot be asked for.
    """
    gauge = job.machine.gauge
    feel = gauge.card_mm is not None and not job.facts.by_hand
    return (*(("leaf",) if gauge.leaves_mm else ()), *(("feel",) if feel else ()))


def _choose_gauge(job: Job) -> Steps[None]:
    """Let the person choose; a single way, or none in the profile, is still shown, never guessed."""
    answer = yield from job.ask(Choose("gauge", gauges(job) or ("leaf",)))
    assert isinstance(answer, Chosen)


def finish(job: Job, finding: Finding, *, proven: bool) -> Steps[Outcome]:
    """Lift, heaters off, show what was reached; where the person wants it, check it by a small print."""
    rounds = job.facts.rounds_read
    yield from job.ask(Lift())
    yield from job.ask(CoolDown())
    yield from survives_restart(job)
    checks = checks_of(job.facts, proven=proven)
    answer = yield from job.ask(ShowResult(finding, rounds, proven, checks, can_print(job.facts, finding)))
    if answer == Chosen(CHECK_PRINT):
        return (yield from _printed(job, finding, proven=proven))
    return Outcome(finding, rounds, proven)


def _printed(job: Job, finding: Finding, *, proven: bool) -> Steps[Outcome]:
    """Check it by prints, and show what was reached then."""
    job.kept_mm = None  # it has come through a restart already
    last = yield from check_print(job, finding, proven=proven)
    yield from survives_restart(job)
    rounds = job.facts.rounds_read
    yield from job.ask(ShowResult(last.finding, rounds, last.proven, last.checks))
    return Outcome(last.finding, rounds, last.proven)
