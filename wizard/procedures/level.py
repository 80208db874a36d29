"""The whole job: cautions, heat, rounds of reading and turning until a pass proves it, the end.

A round is one pass over all points and the turns made after it. The pass that follows turns meant to
be the last ones goes the points in another order and is at once the verification: where it ends
within tolerance at every point, with none left out, the job is proven.
"""

from __future__ import annotations

from typing import NamedTuple

from wizard.facts import Facts
from wizard.procedures.compensate import bare, compensate
from wizard.procedures.felt_grid import fill_grid, is_by_gauge
from wizard.procedures.job import Job, Steps
from wizard.procedures.judge import Next, Pass
from wizard.procedures.preflight import finish, prepare
from wizard.procedures.reading import read_pass
from wizard.procedures.telling import Telling
from wizard.procedures.touch_worth import Touching
from wizard.procedures.touching import can_touch, learn_touch, touch_pass
from wizard.requests import Outcome, Phase
from wizard.solver.finding import Finding

MOST_ROUNDS = 8
"""Where so many rounds have not led to an end, more of them will not: the result is told as it is."""


def level(facts: Facts) -> Steps[Outcome]:
    """Level the bed and set the nozzle height; returns what was reached."""
    job = Job(facts)
    yield from prepare(job)
    yield from bare(job)
    return (yield from passes(job))


def passes(job: Job) -> Steps[Outcome]:
    """Read and turn, pass by pass, until it is proven or ended; then compensate what no adjuster removes.

    A machine that touches by itself is read by its touch where that proves good enough, else by gauge.
    """
    by = (yield from learn_touch(job)) if can_touch(job) else None
    if by is None and is_by_gauge(job) and (yield from fill_grid(job)):
        last = yield from _until_it_ends(job, "verify", None)
        return (yield from finish(job, last.finding, proven=last.proven))
    last = yield from _until_it_ends(job, "first", by)
    if (yield from compensate(job, last.finding, job.touching)):
        last = yield from _until_it_ends(job, "verify", by)
    return (yield from finish(job, last.finding, proven=last.proven))


def _until_it_ends(job: Job, phase: Phase, by: Touching | None) -> Steps[Last]:
    """Read and turn, pass by pass, from one of the given phase on."""
    for left in reversed(range(MOST_ROUNDS)):
        this = yield from _read(job, phase, by, last=not left)
        follows = yield from this.judge()
        if follows in (Next.PROVEN, Next.END):
            break
        phase = "verify" if follows is Next.VERIFY else "adjust"
    return Last(this.finding, follows is Next.PROVEN)


def _read(job: Job, phase: Phase, by: Touching | None, *, last: bool) -> Steps[Pass]:
    """Read a pass. By gauge only what tells is read, but every point where a grid is to be made of it."""
    begun = by is not None and phase == "first"  # by the gauge: the touches belong to the same round
    number = len(job.facts.rounds) + (not begun)
    if by is None and job.machine.compensation is None:
        telling = Telling(job, number, phase)
        yield from telling.read()
        return Pass(job, number, phase, whole=telling.whole, last=last, telling=telling)
    read = read_pass(job, number, phase) if by is None else touch_pass(job, number, phase)
    return Pass(job, number, phase, whole=(yield from read), last=last)


class Last(NamedTuple):
    """How the passes ended: the last finding, and whether a whole pass proved it."""

    finding: Finding
    proven: bool
