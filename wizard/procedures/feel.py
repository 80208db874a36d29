"""Reading a gap by feel: one card, the nozzle comes down or up in steps, each answer narrows the bracket."""

from __future__ import annotations

from wizard.procedures.approach import Visit, go_to, known, lowest_mm
from wizard.procedures.folded import by_layers, layers_for
from wizard.procedures.job import Job, Steps
from wizard.readings import DRAG_MM
from wizard.requests import Feel, Felt
from wizard.rounds import Reading

ENOUGH_MM = 2.0 * DRAG_MM
"""A bracket as wide as the zone in which a card drags: an ordinary visit asks for no more."""

TURNED_BY_MM = 0.06
"""A bracket no wider is enough to turn by, or where everything together proves the gap within."""

SPAN = 2.0
"""Standard uncertainties in an expanded one (JCGM 100, 6.2; ISO 14253-1)."""

NEARLY_MM = 0.006
"""What another feel of a narrow bracket may still gain: a point that is short of its proof by more needs a
turn (a hand's repeatability, common practice, no source)."""

FINEST_MM = DRAG_MM
"""By the edge of that zone a bracket can be halved once more; then the hand's own repeatability rules."""

MOST_FEELS = 16
"""From the first stop down to the floor in steps of a thin card, and some more; then it is left open."""


def by_feel(job: Job, visit: Visit, *, at_least: int = 0) -> Steps[bool]:
    """Narrow what is known of the point by feel. Returns False where it was left out.

    at_least: so many answers are asked for even where enough is known (a reading repeated).
    """
    for count in range(MOST_FEELS):
        wish_mm = _wish_mm(known(job, visit), *job.guessed(visit.point))
        if not is_enough(job, visit) and (layers := layers_for(job, visit, wish_mm)):
            if not (yield from by_layers(job, visit, layers)):
                return False
            continue
        gap_mm = next_gap_mm(job, visit, repeat=count < at_least)
        if gap_mm is None:
            return True
        if not isinstance((yield from _feel_at(job, visit, gap_mm)), Felt):
            return False
    return True


def _feel_at(job: Job, visit: Visit, gap_mm: float) -> Steps[object]:
    """Put the nozzle where the card would just drag if the gap were `gap_mm`, and ask."""
    card_mm = _card_mm(job)
    yield from go_to(job, visit, job.machine.measuring_height_mm + card_mm - gap_mm)
    so_far, z_mm = known(job, visit), job.facts.z_mm
    assert z_mm is not None
    return (
        yield from job.ask(
            Feel(
                visit.point,
                z_mm,
                card_mm,
                visit.round,
                visit.nth,
                visit.total,
                visit.phase,
                so_far.low_mm,
                so_far.high_mm,
            )
        )
    )


def _card_mm(job: Job) -> float:
    card_mm = job.machine.gauge.card_mm
    if card_mm is None:
        raise ValueError("feeling a gap needs a card in the profile")
    return card_mm


def next_gap_mm(job: Job, visit: Visit, *, repeat: bool = False) -> float | None:
    """Return the gap to test next at the measuring height; None where the card can tell no more."""
    so_far = known(job, visit)
    if is_enough(job, visit) and not repeat:
        return None
    wish_mm = _wish_mm(so_far, *job.guessed(visit.point))
    gap_mm = min(wish_mm, _deepest_mm(job, visit))
    nothing_new = so_far.low_mm is not None and gap_mm <= so_far.low_mm
    return None if nothing_new and not repeat else gap_mm


def can_narrow(so_far: Reading, to_mm: float) -> bool:
    """Tell whether what is known is open, or wider than `to_mm`."""
    if so_far.low_mm is None or so_far.high_mm is None:
        return True
    return so_far.high_mm - so_far.low_mm > to_mm + 1e-9


def _deepest_mm(job: Job, visit: Visit) -> float:
    """Return the largest gap that can be felt for now: the nozzle may not stand lower for it."""
    return job.machine.measuring_height_mm + _card_mm(job) - lowest_mm(job, visit)


def can_feel(job: Job, visit: Visit, gap_mm: float) -> bool:
    """Tell whether the nozzle may come as low at once as the card needs it for such a gap."""
    return gap_mm <= _deepest_mm(job, visit) + DRAG_MM


def is_enough(job: Job, visit: Visit) -> bool:
    """Tell whether an ordinary visit needs to know no more of its point.

    Both sides are known, and with all else that is known the gap is provably within, or surely outside and
    known well enough to turn by; else the bracket is as narrow as one feel makes it, or where that is what a
    proof hangs on as the card can tell at all.
    """
    so_far = known(job, visit)
    if can_narrow(so_far, TURNED_BY_MM):
        return False
    gap_mm, u_mm = job.expected(visit.point)
    off_mm = abs(gap_mm - job.machine.wanted_gap_mm)
    tolerance_mm = job.machine.first_layer.tolerance_mm
    over_mm = off_mm + SPAN * u_mm - tolerance_mm
    if over_mm <= 0.0 or off_mm - SPAN * u_mm > tolerance_mm:
        return True
    nearly_proven = visit.phase == "verify" and over_mm <= NEARLY_MM
    return not can_narrow(so_far, FINEST_MM if nearly_proven else ENOUGH_MM)


def _wish_mm(so_far: Reading, gap_mm: float, u_mm: float) -> float:
    """Return the gap whose test tells most: the middle of a bracket, or past its known side.

    Past a known side by just so much that the other answer leaves a bracket that is enough. A bracket
    no wider than the zone of drag is halved by that zone's upper edge.
    """
    low_mm, high_mm = so_far.low_mm, so_far.high_mm
    step_mm = max(ENOUGH_MM + 2.0 * DRAG_MM, u_mm)
    if low_mm is not None and high_mm is not None:
        if not can_narrow(so_far, ENOUGH_MM):
            return (low_mm + high_mm) / 2.0 - DRAG_MM
        return min(max(gap_mm, low_mm + DRAG_MM), high_mm - DRAG_MM)
    if low_mm is not None:
        return max(gap_mm, low_mm + step_mm)
    if high_mm is not None:
        return min(gap_mm, high_mm - step_mm)
    return gap_mm
