"""How low the nozzle may go over a point: only where the gap is known, or as good as known, to be free.

Three things tell how much is free: a gauge that passed since the plate last changed; else the
solver's expectation with a wide margin, less what the plate would have risen had an adjuster been
turned the other way; else, over a point that was never read, what a plate that nobody has levelled
can be: a thick card is tried at a height that is safe by the points before, the first of all by homing.
"""

from __future__ import annotations

import math

import msgspec

from profiles.machine import Machine, Point
from wizard.procedures.doubts import Doubts
from wizard.procedures.job import Job, Steps
from wizard.procedures.unlevelled import LONGER_MM, MOVED_MM, highest_mm, rise_mm
from wizard.requests import Lower, Park, Phase, TakeReading
from wizard.rounds import Reading, Round

FIRST_UP_MM = 0.6
"""So far above the measuring height one thick card that passes leaves some gap there, even at its thinnest:
0.68 - 0.6 mm."""

LEAF_UP_MM = 0.1
"""The least height of a first stop where leaves are read at once, which tell more than a thick card: only
over points other than the first of all, where that one leaves so much room."""

FORETOLD_U_MM = 0.05
"""A point never read may be met by expectation alone where its standard uncertainty is no more than this."""

SURE = 3.0
"""Standard uncertainties taken off an expectation before the nozzle trusts it (JCGM 100, G.1: 99.7 %)."""

KEEP_MM = 0.02
"""Left free under the nozzle even where everything known is at its worst."""

Z_STEP_MM = 0.005
"""Heights are asked for in steps that any Z axis can make; rounded up, away from the plate."""


class Visit(msgspec.Struct, frozen=True):
    """One point in one pass: which round, the how manieth of how many, in which phase.

    doubt_mm: how much less than expected the gap is should the last turns have been made the other way.
    """

    point: str
    round: int
    nth: int
    total: int
    phase: Phase
    doubt_mm: float = 0.0

    def taking(self, z_mm: float, start_leaf_mm: float | None) -> TakeReading:
        """Return the request to read this point by leaf at `z_mm`."""
        return TakeReading(self.point, z_mm, self.round, self.nth, self.total, self.phase, start_leaf_mm)


def doubts_mm(machine: Machine, rounds: tuple[Round, ...]) -> dict[str, float]:
    """Return by how much each gap would be smaller had every change of the last round gone the other way."""
    doubts = Doubts(machine, rounds)
    return {point.name: doubts.mm(point.name, {}) for point in machine.point} if rounds else {}


def surely_free_mm(job: Job, visit: Visit) -> float | None:
    """Return the least gap that can be at the measuring height; negative: the nozzle must stay higher.

    None over a point that no earlier round has read, where nothing has passed yet and the others do not
    foretell it well.
    """
    since_change = job.facts.readings.get(visit.point)
    if since_change is not None and since_change.low_mm is not None:
        return since_change.low_mm
    gap_mm, u_mm = job.expected(visit.point)
    if not _was_read(job, visit) and u_mm > FORETOLD_U_MM:
        return None
    return gap_mm - SURE * u_mm - visit.doubt_mm


def _was_read(job: Job, visit: Visit) -> bool:
    return any(visit.point in done.readings for done in job.facts.rounds[: visit.round - 1])


def lowest_mm(job: Job, visit: Visit) -> float:
    """Return the lowest commanded Z over this point now; where the nozzle stands it may always stay."""
    machine = job.machine
    free_mm = surely_free_mm(job, visit)
    if free_mm is None:
        least_mm = unread_height_mm(job, visit)
    else:
        least_mm = machine.measuring_height_mm - free_mm + KEEP_MM
    if job.facts.parked_at == visit.point and job.facts.z_mm is not None:
        least_mm = min(least_mm, job.facts.z_mm)
    return max(machine.motion.z_mm[0], least_mm)


def first_height_mm(machine: Machine) -> float:
    """Return the height at which one card that passes frees the measuring height."""
    return machine.measuring_height_mm + FIRST_UP_MM


def unread_height_mm(job: Job, visit: Visit) -> float:
    """Return the height of the first stop over this point, which was never read."""
    up_mm = LEAF_UP_MM if job.has_leaves else FIRST_UP_MM
    lowest = job.machine.measuring_height_mm + up_mm
    wanted_mm = job.machine.measuring_height_mm - least_unread_mm(job, visit) + KEEP_MM
    return max(lowest, min(wanted_mm, job.machine.motion.clearance_mm))


def least_unread_mm(job: Job, visit: Visit) -> float:
    """Return the least gap that can be at the measuring height over a point that was never read.

    Each point that was read bounds it by what a plate can rise from there; so does the solver's expectation.
    """
    machine, here = job.machine, job.machine.point_named(visit.point)
    if not job.facts.rounds:
        return -_highest_mm(job, here)
    gap_mm, u_mm = job.expected(visit.point)
    expected_mm = gap_mm - SURE * u_mm
    lows = [low_mm - _rise_mm(job, machine.point_named(p), here) for p, low_mm in _lows_mm(job, visit)]
    if not lows:
        return min(expected_mm - visit.doubt_mm, -_highest_mm(job, here))
    return max(*lows, expected_mm) - visit.doubt_mm


def _highest_mm(job: Job, here: Point) -> float:
    """Return how far above zero the plate may stand; in a recheck how far below it a new nozzle may reach."""
    return LONGER_MM if job.facts.base is not None else highest_mm(job.machine, here)


def _rise_mm(job: Job, read: Point, here: Point) -> float:
    rise = rise_mm(job.machine, read, here)
    return rise if job.facts.base is None else min(rise, MOVED_MM)


def _lows_mm(job: Job, visit: Visit) -> list[tuple[str, float]]:
    """Return the least gap at the points read since the last change, else at those read before it."""
    since = {name: reading.low_mm for name, reading in job.facts.readings.items() if name != visit.point}
    if since:
        return [(name, low_mm) for name, low_mm in since.items() if low_mm is not None]
    before = job.facts.rounds[: visit.round - 1]
    doubts = doubts_mm(job.machine, before)
    gaps = {name: job.expected(name) for done in before for name in done.readings}
    return [
        (name, gap_mm - SURE * u_mm - max(0.0, doubts[name] - visit.doubt_mm))
        for name, (gap_mm, u_mm) in gaps.items()
    ]


def rounded_up_mm(z_mm: float) -> float:
    """Return the next height that can be asked for, at `z_mm` or above."""
    return round(math.ceil(round(z_mm / Z_STEP_MM, 6)) * Z_STEP_MM, 6)


def go_to(job: Job, visit: Visit, z_mm: float) -> Steps[None]:
    """Bring the nozzle to `z_mm` over the point; nothing is asked where it stands there."""
    z_mm = rounded_up_mm(z_mm)
    if job.facts.parked_at != visit.point:
        yield from job.ask(Park(visit.point, z_mm))
    elif job.facts.z_mm != z_mm:
        yield from job.ask(Lower(visit.point, z_mm))


def known(job: Job, visit: Visit) -> Reading:
    """Return what this round knows of the point so far; both sides open where nothing."""
    if visit.round != len(job.facts.rounds):
        return Reading()
    return job.facts.rounds[-1].readings.get(visit.point, Reading())
