"""Coming down over a point of which little is known: thick cards are tried under the nozzle, from high above.

One card from near, two from farther up. Where a leaf reaches what is expected there, leaves are read at once.
"""

from __future__ import annotations

from wizard.procedures.approach import (
    KEEP_MM,
    Visit,
    first_height_mm,
    go_to,
    known,
    lowest_mm,
    surely_free_mm,
    unread_height_mm,
)
from wizard.procedures.job import Job, Steps
from wizard.requests import ONE_CARD, LookForDaylight, Seen, Skipped

DAYLIGHT_MM = 0.76
"""A bank card: ISO/IEC 7810, ID-1, 0.76 mm, 0.08 either way."""

TWO_CARDS_MM = 2.0 * DAYLIGHT_MM
"""Two of them, one on the other: from high above they free at one answer what one alone would at two."""

ONE_CARD_UP_MM = 0.68
"""From higher up one card, at its thinnest, does not free the measuring height."""

LIKELY_MM = 0.18
"""Two cards are tried where they should pass with so much room: both may be 0.08 mm too thick."""

NEAR_MM = 0.02
"""No card is needed any more once so little above the measuring height is free: leaves are read there."""


def come_down(job: Job, visit: Visit) -> Steps[bool]:
    """Come to where a gauge can tell something: at once where enough is known, else by thick cards.

    A first stop that is low enough for leaves needs no card. Returns False where the point was left out.
    """
    start_mm = _daylight_height_mm(job, visit)
    while start_mm is not None:
        yield from go_to(job, visit, start_mm)
        z_mm, thick_mm = job.facts.z_mm, _thick_mm(job, visit)
        assert z_mm is not None
        seen = yield from job.ask(LookForDaylight(visit.point, z_mm, thick_mm, visit.round))
        if seen == Skipped(ONE_CARD):
            job.has_two_cards = False
        elif not isinstance(seen, Seen):
            return False
        elif seen.clear:
            start_mm = _next_daylight_mm(job, visit)
        elif thick_mm == DAYLIGHT_MM:
            start_mm = None
    return True


def _thick_mm(job: Job, visit: Visit) -> float:
    """Return what to look with where the nozzle stands: two cards where these should pass, else one."""
    up_mm = (job.facts.z_mm or 0.0) - job.machine.measuring_height_mm
    if up_mm <= ONE_CARD_UP_MM or known(job, visit).high_mm is not None or not job.has_two_cards:
        return DAYLIGHT_MM
    return TWO_CARDS_MM if up_mm >= _two_cards_up_mm(job, visit) - LIKELY_MM else DAYLIGHT_MM


def _two_cards_up_mm(job: Job, visit: Visit) -> float:
    """Return how far above the measuring height two cards should pass; of a first point nothing is known."""
    gap_mm = job.expected(visit.point)[0] if job.facts.rounds else 0.0
    return TWO_CARDS_MM + LIKELY_MM - gap_mm


def _daylight_height_mm(job: Job, visit: Visit) -> float | None:
    """Return where to look for daylight first; None where the expectation allows to go lower at once.

    Too high for one card to free the way, it is high enough for two.
    """
    free_mm, motion = surely_free_mm(job, visit), job.machine.motion
    if free_mm is None:
        stop_mm = unread_height_mm(job, visit)
    else:
        need_mm = job.machine.measuring_height_mm - free_mm + KEEP_MM
        stop_mm = min(need_mm, motion.clearance_mm)
        if stop_mm <= first_height_mm(job.machine):
            return None
    if _leaf_reaches(job, visit, stop_mm):
        return None
    if stop_mm <= job.machine.measuring_height_mm + ONE_CARD_UP_MM or not job.has_two_cards:
        return stop_mm
    for_two_mm = job.machine.measuring_height_mm + _two_cards_up_mm(job, visit)
    return max(stop_mm, min(for_two_mm, motion.clearance_mm))


def _leaf_reaches(job: Job, visit: Visit, z_mm: float) -> bool:
    """Tell whether a leaf of the set is as thick as what is expected under a nozzle that stands at `z_mm`.

    Over the first point of all hardly anything is expected: there it is the card.
    """
    if not job.has_leaves or not job.facts.rounds:
        return False
    up_mm, thickest_mm = z_mm - job.machine.measuring_height_mm, job.machine.gauge.leaves_mm[-1]
    return job.expected(visit.point)[0] + up_mm <= thickest_mm or up_mm <= thickest_mm >= DAYLIGHT_MM


def _next_daylight_mm(job: Job, visit: Visit) -> float | None:
    """Return the next height for the card while the nozzle may not yet come near the measuring height."""
    lowest = lowest_mm(job, visit)
    if job.facts.z_mm is None or lowest <= job.machine.measuring_height_mm + NEAR_MM:
        return None
    if _leaf_reaches(job, visit, lowest):
        return None
    return max(first_height_mm(job.machine), lowest)
