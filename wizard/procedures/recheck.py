"""Is it still right? A few readings after a nozzle swap or some weeks, weighed against the last proven run.

For how low the nozzle may go that run tells no more than that the plate was level once: another nozzle
may be two millimetres longer, and a screw may have been turned since (see `unlevelled`).
"""

from __future__ import annotations

from wizard.facts import Facts
from wizard.procedures.approach import Visit, doubts_mm, known
from wizard.procedures.compensate import bare, follow_again
from wizard.procedures.height import change_height
from wizard.procedures.job import Job, Steps
from wizard.procedures.level import passes
from wizard.procedures.preflight import prepare
from wizard.procedures.reading import can_tell_more, read_again, read_point
from wizard.requests import (
    CLOSE,
    LEVEL_NOW,
    SET_HEIGHT,
    Chosen,
    CoolDown,
    Lift,
    Outcome,
    ShowChange,
    Topic,
    Turn,
    Turned,
)
from wizard.rounds import Reading, Round
from wizard.since import Change, judge, next_point, settled

BEFORE: tuple[Topic, ...] = ("cautions", "nozzle-swap", "bed-clear")

MOSTLY_ENOUGH = 3
"""So many points tell another nozzle from a plate that has moved, in most cases; more are read one by one."""

MOST_NARROWINGS = 2
"""A point is read at most so many times more: two halvings bring leaves a twentieth apart to an eightieth."""


def recheck(facts: Facts) -> Steps[Outcome]:
    """Find out what has changed since `facts.base`; return what was reached. ValueError without one."""
    if facts.base is None:
        raise ValueError("a recheck needs a proven run to compare with")
    job = Job(facts)
    yield from prepare(job, BEFORE)
    yield from (follow_again(job, facts.base.grid) if facts.base.followed else bare(job))
    change = yield from _find_out(job)
    if change.kind == "same":
        return (yield from _close(job, change))
    options = (*((SET_HEIGHT,) if _can_be_set(job, change) else ()), LEVEL_NOW, CLOSE)
    chosen = yield from _ask(job, change, options)
    if chosen == SET_HEIGHT:
        change = yield from _set_height(job, change)
        if change.proven and change.kind == "height":
            return (yield from _close(job, change))
        chosen = yield from _ask(job, change, (LEVEL_NOW, CLOSE))
    if chosen == LEVEL_NOW:
        yield from bare(job)
        return (yield from passes(job))
    return (yield from _end(job, change))


def _ask(job: Job, change: Change, options: tuple[str, ...]) -> Steps[str]:
    """Lift, show the change, return what was chosen."""
    yield from job.ask(Lift())
    answer = yield from job.ask(ShowChange(change, options))
    return answer.option if isinstance(answer, Chosen) else CLOSE


def _close(job: Job, change: Change) -> Steps[Outcome]:
    """Lift, heaters off, show what was found."""
    yield from job.ask(Lift())
    yield from job.ask(CoolDown())
    yield from job.ask(ShowChange(change, (CLOSE,)))
    return _outcome(job, change)


def _end(job: Job, change: Change) -> Steps[Outcome]:
    """Heaters off; what was found has been shown."""
    yield from job.ask(CoolDown())
    return _outcome(job, change)


def _outcome(job: Job, change: Change) -> Outcome:
    proven = change.proven and change.kind in ("same", "height")
    return Outcome(change.finding, len(job.facts.rounds), proven)


def _find_out(job: Job) -> Steps[Change]:
    """Read one point after another until the readings decide; a point that was left out tells nothing."""
    base = job.facts.base
    assert base is not None
    left_out: set[str] = set()
    while (point := next_point(job.machine, base, _with(job, left_out))) is not None:
        nth = len(_readings(job).readings) + 1
        if not (yield from _read(job, Visit(point, 1, nth, max(nth, MOSTLY_ENOUGH), "first"))):
            left_out.add(point)
        change = judge(job.machine, base, _readings(job))
        if change is not None:
            return change
    if (doubted := judge(job.machine, base, _readings(job), final=True)) and doubted.suspect:
        yield from read_again(job, 1, "first", (doubted.suspect,))
    change = judge(job.machine, base, _readings(job), final=True)
    assert change is not None
    return change


def _readings(job: Job) -> Round:
    return job.facts.rounds[0] if job.facts.rounds else Round()


def _with(job: Job, left_out: set[str]) -> Round:
    """Return what was read, with the points left out as if they had been read and told nothing."""
    read = _readings(job).readings
    return Round({**dict.fromkeys(left_out, Reading()), **read})


def _read(job: Job, visit: Visit) -> Steps[bool]:
    """Read a point as finely as the gauge tells. Returns False where it was left out."""
    if not (yield from read_point(job, visit)):
        return False
    for _ in range(MOST_NARROWINGS):
        if not can_tell_more(job, known(job, visit)):
            break
        if not (yield from read_again(job, visit.round, visit.phase, (visit.point,))):
            break
    return True


def _can_be_set(job: Job, change: Change) -> bool:
    """Whether there is a height to be set by itself."""
    finding = change.finding
    return change.kind == "height" and (bool(finding.turns) or finding.height_change_mm is not None)


def _set_height(job: Job, change: Change) -> Steps[Change]:
    """Have the height set, and read what shows that it was: one point, or more where screws were turned."""
    base = job.facts.base
    assert base is not None
    finding = change.finding
    if finding.turns:
        answer = yield from job.ask(Turn(finding.turns, 1, False, finding))
        if not isinstance(answer, Turned):
            return change
    yield from change_height(job, finding)
    if not job.facts.readings:  # an endstop screw has been read after its last turn
        by = tuple(point.name for point in job.machine.levelling_points)
        yield from _read_after(job, by if finding.turns else change.read[:1])
    change = settled(job.machine, base, job.facts.rounds, change)
    while (point := _worst_open(job, change)) is not None:
        if not (yield from _read_after(job, (point,))):
            break
        change = settled(job.machine, base, job.facts.rounds, change)
    return change


def _worst_open(job: Job, change: Change) -> str | None:
    """Return the point farthest from its proof that one more reading may prove; None where none may."""
    finding, read = change.finding, _after_change(job).readings
    if change.kind != "height" or finding.verdict != "undecided":
        return None
    tolerance_mm = job.machine.first_layer.tolerance_mm
    over = {n: abs(p.deviation_mm) + 2.0 * p.u_mm - tolerance_mm for n, p in finding.points.items()}
    return max(
        (n for n, mm in over.items() if mm > 0.0 and n not in read), key=over.__getitem__, default=None
    )


def _after_change(job: Job) -> Round:
    """Return what was read since the change; nothing where that is still to come."""
    return job.facts.rounds[-1] if job.facts.readings else Round()


def _read_after(job: Job, points: tuple[str, ...]) -> Steps[bool]:
    """Read points after the change, in a round of their own. Returns whether none was left out."""
    begun, whole = len(_after_change(job).readings), True
    number, doubts = len(job.facts.rounds) + (not begun), doubts_mm(job.machine, job.facts.rounds)
    for nth, point in enumerate(points, begun + 1):
        visit = Visit(point, number, nth, begun + len(points), "verify", doubts.get(point, 0.0))
        whole &= yield from _read(job, visit)
    return whole
