"""One pass over the points, each read in the way that takes the fewest answers."""

from __future__ import annotations

from collections.abc import Iterable

from profiles.machine import Point
from wizard.procedures.approach import Visit, doubts_mm, known
from wizard.procedures.daylight import DAYLIGHT_MM, come_down
from wizard.procedures.feel import ENOUGH_MM, FINEST_MM, by_feel, can_feel, can_narrow, is_enough
from wizard.procedures.job import Job, Steps
from wizard.procedures.leaf import by_leaf
from wizard.procedures.route import route
from wizard.requests import LookForDaylight, Phase
from wizard.rounds import Reading

WIDE_MM = 0.03
"""Where the expectation is less sure than this a leaf tells more in one answer than a card."""


def read_pass(job: Job, number: int, phase: Phase) -> Steps[bool]:
    """Read every point once in round `number`. Returns whether none was left out."""
    doubts = doubts_mm(job.machine, job.facts.rounds)
    way = route(points_to_read(job), number)
    whole = True
    for nth, point in enumerate(way, 1):
        doubt_mm = doubts.get(point.name, 0.0)
        visit = Visit(point.name, number, nth, len(way), phase, doubt_mm)
        whole &= yield from read_point(job, visit)
    return whole


def points_to_read(job: Job) -> tuple[Point, ...]:
    """Return the points of a pass: all, or where a grid is followed those that it was not made by."""
    part = job.machine.compensation
    return part.check if part is not None and job.facts.following and part.check else job.machine.point


def read_point(job: Job, visit: Visit) -> Steps[bool]:
    """Read one point. Returns False where it was left out."""
    if not (yield from come_down(job, visit)):
        return False
    if job.facts.gauge != "feel":
        return (yield from by_leaf(job, visit))
    if _leaf_tells_more(job, visit):
        job.has_leaves = yield from by_leaf(job, visit)
        if job.has_leaves and (visit.phase == "first" or is_enough(job, visit)):
            return True
    if not (yield from by_feel(job, visit)):
        return False
    if known(job, visit).high_mm is None:
        return (yield from _by_something_thicker(job, visit))
    return True


def _by_something_thicker(job: Job, visit: Visit) -> Steps[bool]:
    """At the floor with the card still free: read by leaf, or at least see whether the thick card passes."""
    if job.has_leaves:
        return (yield from by_leaf(job, visit))
    z_mm = job.facts.z_mm
    assert z_mm is not None
    yield from job.ask(LookForDaylight(visit.point, z_mm, DAYLIGHT_MM, visit.round))
    return True


def _leaf_tells_more(job: Job, visit: Visit) -> bool:
    """Tell whether to begin with a leaf although the person chose to feel.

    Whoever leaves such a reading out is taken to have no leaves, and is asked for the card alone.
    """
    gap_mm, u_mm = job.expected(visit.point)
    return job.has_leaves and (visit.phase == "first" or u_mm > WIDE_MM or not can_feel(job, visit, gap_mm))


def can_tell_more(job: Job, so_far: Reading) -> bool:
    """Tell whether the chosen gauge could still narrow a reading, were it taken again.

    Leaves are themselves off by up to 0.01 mm (a declared assumption, no standard), so that a bracket
    of twice that is the finest they give.
    """
    return can_narrow(so_far, FINEST_MM if job.facts.gauge == "feel" else ENOUGH_MM)


def read_again(job: Job, number: int, phase: Phase, names: Iterable[str]) -> Steps[bool]:
    """Read some points of the running round once more. Returns whether none was left out."""
    wanted = set(names)
    way = [point for point in route(job.machine.point, number) if point.name in wanted]
    whole = True
    for nth, point in enumerate(way, 1):
        visit = Visit(point.name, number, nth, len(way), phase)
        whole &= yield from _narrow(job, visit)
    return whole


def _narrow(job: Job, visit: Visit) -> Steps[bool]:
    """Read one point anew: as the first time if nothing is known of it, else to narrow what is."""
    so_far = known(job, visit)
    if so_far.low_mm is None and so_far.high_mm is None:
        return (yield from read_point(job, visit))
    if job.facts.gauge == "feel":
        return (yield from by_feel(job, visit, at_least=1))
    return (yield from by_leaf(job, visit, again=True))
