"""How low the nozzle may go over a point: only where the gap is known, or as good as known, to be free.

Three things tell how much is free: a gauge that passed since the plate last changed; else the
solver's expectation with a wide margin, less what the plate would have risen had an adjuster been
turned the other way; else, over a point that was never read, a thick card at a safe height: the
first of all is well above any snugged plate, the others by what the points before have shown.
"""

from __future__ import annotations

import math

import msgspec

from profiles.machine import Machine
from wizard.procedures.doubts import Doubts
from wizard.procedures.job import Job, Steps
from wizard.requests import LookForDaylight, Lower, Park, Phase, Seen, TakeReading
from wizard.rounds import Reading, Round

DAYLIGHT_MM = 0.76
"""A bank card: ISO/IEC 7810, ID-1, 0.76 mm, 0.08 either way."""

FIRST_UP_MM = 0.6
"""Over a point never read the nozzle first stops so far above the measuring height. A card that passes
there leaves some gap at the measuring height even at its thinnest: 0.68 - 0.6 mm."""

HIGHEST_UP_MM = 1.24
"""Over the first point of all: so much more that a card which passes there frees the way to FIRST_UP_MM,
and a plate that was left a millimetre too high is not met."""

LEAF_UP_MM = 0.1
"""The least height of a first stop where leaves are read at once, which tell more than a thick card: only
over points other than the first of all, where that one leaves so much room."""

FORETOLD_U_MM = 0.05
"""A point never read may be met by expectation alone where its standard uncertainty is no more than this."""

UNEVEN_MM = 0.6
"""How much higher than where it was read a plate that nobody has levelled may stand elsewhere (common
practice, no source)."""

NEAR_MM = 0.02
"""No card is needed any more once so little above the measuring height is free: leaves are read there."""

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
    """Return the least height of the first stop over a point never read."""
    return machine.measuring_height_mm + FIRST_UP_MM


def unread_height_mm(job: Job, visit: Visit) -> float:
    """Return the height of the first stop over this point, which was never read."""
    lows = [known.low_mm for point, known in job.facts.readings.items() if point != visit.point]
    least_mm = min(
        (-HIGHEST_UP_MM if low is None else low - UNEVEN_MM for low in lows), default=-HIGHEST_UP_MM
    )
    wanted_mm = job.machine.measuring_height_mm - least_mm + KEEP_MM
    up_mm = LEAF_UP_MM if job.has_leaves else FIRST_UP_MM
    lowest = job.machine.measuring_height_mm + up_mm
    return max(lowest, min(wanted_mm, job.machine.motion.clearance_mm))


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


def come_down(job: Job, visit: Visit) -> Steps[bool]:
    """Come to where a gauge can tell something: at once where enough is known, else by the thick card.

    A first stop that is low enough for leaves needs no card. Returns False where the point was left out.
    """
    start_mm = _daylight_height_mm(job, visit)
    while start_mm is not None:
        yield from go_to(job, visit, start_mm)
        z_mm = job.facts.z_mm
        assert z_mm is not None
        seen = yield from job.ask(LookForDaylight(visit.point, z_mm, DAYLIGHT_MM, visit.round))
        if not isinstance(seen, Seen):
            return False
        start_mm = _next_daylight_mm(job, visit) if seen.clear else None
    return True


def _daylight_height_mm(job: Job, visit: Visit) -> float | None:
    """Return where to look for daylight first; None where the expectation allows to go lower at once."""
    free_mm = surely_free_mm(job, visit)
    if free_mm is None:
        stop_mm = unread_height_mm(job, visit)
    else:
        need_mm = job.machine.measuring_height_mm - free_mm + KEEP_MM
        stop_mm = min(need_mm, job.machine.motion.clearance_mm)
        if stop_mm <= first_height_mm(job.machine):
            return None
    return None if _leaf_reaches(job, visit, stop_mm) else stop_mm


def _leaf_reaches(job: Job, visit: Visit, z_mm: float) -> bool:
    """Tell whether a leaf of the set is as thick as what is expected under a nozzle that stands at `z_mm`.

    Over the first point of all hardly anything is expected: there it is the card.
    """
    if not job.has_leaves or not job.facts.rounds:
        return False
    here_mm = job.expected(visit.point)[0] + z_mm - job.machine.measuring_height_mm
    return here_mm <= job.machine.gauge.leaves_mm[-1]


def _next_daylight_mm(job: Job, visit: Visit) -> float | None:
    """Return the next height for the card while the nozzle may not yet come near the measuring height."""
    lowest = lowest_mm(job, visit)
    if job.facts.z_mm is None or lowest <= job.machine.measuring_height_mm + NEAR_MM:
        return None
    return max(first_height_mm(job.machine), lowest)


def known(job: Job, visit: Visit) -> Reading:
    """Return what this round knows of the point so far; both sides open where nothing."""
    if visit.round != len(job.facts.rounds):
        return Reading()
    return job.facts.rounds[-1].readings.get(visit.point, Reading())
