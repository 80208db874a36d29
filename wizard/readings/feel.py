"""What a feel or a typed text says of one gap. Pure.

A card that drags lightly stands in a gap of its own thickness, give or take `DRAG_MM`
(common practice, no source: the width of the zone in which paper is held but still moves).
"""

from __future__ import annotations

from wizard.requests import Touch
from wizard.rounds import Reading

DRAG_MM = 0.01


def narrow(known: Reading | None, touch: Touch, card_mm: float, nozzle_up_mm: float) -> Reading:
    """Return what is known of the gap at the measuring height after one feel.

    nozzle_up_mm: how far the nozzle stood above the measuring height when the card was felt.
    A later feel that contradicts an earlier one wins: the hand was surer the second time.
    """
    gap_mm = card_mm - nozzle_up_mm
    low = known.low_mm if known else None
    high = known.high_mm if known else None
    if touch == "free":
        low = gap_mm + DRAG_MM
    elif touch == "tight":
        high = gap_mm - DRAG_MM
    else:
        low, high = gap_mm - DRAG_MM, gap_mm + DRAG_MM
    if low is not None and high is not None and low > high:
        low, high = (low, None) if touch == "free" else (None, high)
    return Reading(low, high, "feel")
