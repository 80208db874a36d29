"""Reading a gap by feeler leaves: at which height the leaves tell most, and what to do off their range."""

from __future__ import annotations

from itertools import pairwise

from wizard.procedures.approach import Visit, go_to, known, lowest_mm
from wizard.procedures.feel import can_feel, can_narrow
from wizard.procedures.job import Job, Steps
from wizard.requests import ReadingTaken

MOST_READINGS = 3
"""One at the best height, and at most two more where the gap is off the range of the leaves."""

COARSE_MM = 0.06
"""A wider bracket was read by the thick leaves of a set, which lie a tenth apart; lower, finer ones serve."""

WORTH_MM = 0.05
"""Moving the nozzle by less brings no other leaves into play."""


def by_leaf(job: Job, visit: Visit, *, again: bool = False) -> Steps[bool]:
    """Read the point by leaf; `again`: narrow what is known already. False where it was left out."""
    z_mm: float | None = _again_mm(job, visit) if again else _first_mm(job, visit)
    for _ in range(MOST_READINGS):
        if z_mm is None:
            break
        yield from go_to(job, visit, z_mm)
        stands_mm = job.facts.z_mm
        assert stands_mm is not None
        answer = yield from job.ask(visit.taking(stands_mm, _start_leaf_mm(job, visit, stands_mm)))
        if not isinstance(answer, ReadingTaken):
            return False
        z_mm = _off_range_mm(job, visit)
    return True


def _first_mm(job: Job, visit: Visit) -> float:
    """Return the height at which the wanted gap stands midway between two leaves.

    Read there, a gap that is right gives the bracket that lies evenly about it, and proves the most.
    In the first pass, once a card has passed, it is the lowest height: wide gaps come into the range
    of the thin leaves, which lie closer together.
    """
    leaves = job.machine.gauge.leaves_mm
    target_mm = job.machine.wanted_gap_mm
    if visit.phase == "first" and known(job, visit).low_mm is not None:
        return lowest_mm(job, visit)
    ups = [(thin + thick) / 2.0 - target_mm for thin, thick in pairwise(leaves)] or [0.0]
    return _lowest_useful(job, visit, ups)


def _again_mm(job: Job, visit: Visit) -> float:
    """Return the height at which a leaf is as thick as the middle of what is known: it halves that."""
    so_far = known(job, visit)
    if so_far.low_mm is None or so_far.high_mm is None:
        return _first_mm(job, visit)
    middle_mm = (so_far.low_mm + so_far.high_mm) / 2.0
    return _lowest_useful(job, visit, [leaf - middle_mm for leaf in job.machine.gauge.leaves_mm] or [0.0])


def _lowest_useful(job: Job, visit: Visit, ups_mm: list[float]) -> float:
    """Return the allowed height nearest to the measuring height; of two the higher one."""
    z_m = job.machine.measuring_height_mm
    least_mm = lowest_mm(job, visit)
    allowed = [up for up in ups_mm if z_m + up >= least_mm]
    up_mm = min(allowed, key=lambda up: (round(abs(up), 6), -up), default=least_mm - z_m)
    return z_m + up_mm


def _off_range_mm(job: Job, visit: Visit) -> float | None:
    """Return where to read again: lower if no leaf was thick enough, higher if none was thin enough.

    In the first pass also lower where only leaves far apart served: what is turned by it comes out better.
    """
    now, z_mm = known(job, visit), job.facts.z_mm
    leaves = job.machine.gauge.leaves_mm
    if z_mm is None or not leaves:
        return None
    if now.high_mm is None:
        return _deeper_mm(job, visit)
    if now.low_mm is None:
        higher_mm = z_mm + (leaves[-1] - leaves[0])
        return higher_mm if higher_mm <= job.machine.motion.clearance_mm else None
    worth = visit.phase == "first" and can_narrow(now, COARSE_MM) and not _is_felt_next(job, visit)
    return _deeper_mm(job, visit) if worth else None


def _is_felt_next(job: Job, visit: Visit) -> bool:
    """Tell whether the card finds the gap at once: in a recheck, once enough is free for it."""
    in_recheck = job.facts.base is not None and job.facts.gauge == "feel"
    return in_recheck and can_feel(job, visit, job.guessed(visit.point)[0])


def _deeper_mm(job: Job, visit: Visit) -> float | None:
    """Return the lowest height where it lies far enough below the nozzle to be worth another reading."""
    deeper_mm = lowest_mm(job, visit)
    z_mm = job.facts.z_mm
    return deeper_mm if z_mm is not None and z_mm - deeper_mm >= WORTH_MM else None


def _start_leaf_mm(job: Job, visit: Visit, z_mm: float) -> float | None:
    """Return the leaf to try first: the thickest that should slide by what is expected."""
    leaves = job.machine.gauge.leaves_mm
    if not leaves:
        return None
    so_far = known(job, visit)
    gap_mm, _ = job.guessed(visit.point)
    if so_far.high_mm is not None and so_far.low_mm is None:
        gap_mm = so_far.high_mm
    elif so_far.low_mm is not None:
        gap_mm = max(so_far.low_mm, gap_mm)
    stands_mm = gap_mm + z_mm - job.machine.measuring_height_mm
    return max((leaf for leaf in leaves if leaf <= stands_mm), default=leaves[0])
