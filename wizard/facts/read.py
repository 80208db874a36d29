"""What follows from what was felt, read or touched: a reading at the measuring height."""

from __future__ import annotations

import math

from wizard.facts.fold import fold
from wizard.facts.known import Facts, above_mm, add_reading, away, changed, clean
from wizard.readings import narrow
from wizard.requests import (
    AnyAnswer,
    Feel,
    Felt,
    LookForDaylight,
    ReadingTaken,
    Seen,
    TakeReading,
    Touched,
    TouchGrid,
    TouchPoint,
    TouchTest,
)
from wizard.rounds import Reading

CARD_MM, CARD_TOLERANCE_MM = 0.76, 0.08
"""The thickness of a bank card, and how far each may be off it: ISO/IEC 7810, ID-1."""

LAYERS_OFF = 0.11
"""How far layers of folded paper may be off, as a share: sheets of 0.10 mm give or take 0.01 mm."""

SURE = 4.0
LEAST_U_MM = 0.005
"""So many standard uncertainties, of this one at least, are taken off what a touch shows to be free."""

MANY_TOUCHES = 8
"""From so many touches of one place on their spread tells how well a touch repeats."""


@fold.register
def _(request: TouchPoint, answer: AnyAnswer, facts: Facts) -> Facts:
    """A touch is a reading: how far the contact lies below the measuring height, and the offset."""
    if not isinstance(answer, Touched) or not answer.z_mm:
        return facts
    mean_mm = sum(answer.z_mm) / len(answer.z_mm)
    gap_mm = facts.machine.measuring_height_mm - mean_mm + request.offset_mm
    half_mm = math.sqrt(3.0) * request.u_mm  # a bracket of this half width has the standard uncertainty u_mm
    reading = Reading(gap_mm - half_mm, gap_mm + half_mm, "probe")
    facts = changed(away(facts), probe_offset_mm=request.offset_mm, probe_u_mm=_whole_u_mm(request))
    facts = add_reading(facts, request.round, request.point, reading)
    last = changed(facts.rounds[-1], common_u_mm=request.offset_u_mm)
    return changed(facts, rounds=(*facts.rounds[:-1], last))


def _whole_u_mm(request: TouchPoint) -> float:
    """Return the standard uncertainty of a gap that was touched, mm."""
    return round(math.hypot(request.u_mm, request.offset_u_mm), 4)


@fold.register
def _(request: TouchTest, answer: AnyAnswer, facts: Facts) -> Facts:
    facts = away(facts)
    if not isinstance(answer, Touched) or not answer.z_mm:
        return facts
    if len(answer.z_mm) >= MANY_TOUCHES:
        from statistics import stdev

        facts = changed(facts, touch_sd_mm=round(stdev(answer.z_mm), 6))
    return _free_by_touch(facts, sum(answer.z_mm) / len(answer.z_mm), request)


def _free_by_touch(facts: Facts, z_mm: float, request: TouchTest) -> Facts:
    """Return the facts with what a touch at `z_mm` shows to be free, once its offset is known.

    It is no reading of the round: the gauge that follows is to be compared with it.
    """
    if request.point is None or facts.probe_offset_mm is None:
        return facts
    gap_mm = facts.machine.measuring_height_mm - z_mm + facts.probe_offset_mm
    free = clean(Reading(low_mm=gap_mm - SURE * max(facts.probe_u_mm, LEAST_U_MM), how="probe"))
    return changed(facts, readings={**facts.readings, request.point: free})


@fold.register
def _(request: TouchGrid, answer: AnyAnswer, facts: Facts) -> Facts:
    return away(facts)


@fold.register
def _(request: LookForDaylight, answer: AnyAnswer, facts: Facts) -> Facts:
    if not isinstance(answer, Seen):
        return facts
    up_mm, off_mm = above_mm(facts, request.z_mm), _off_mm(request.thick_mm)
    if answer.clear:
        seen = Reading(low_mm=request.thick_mm - off_mm - up_mm, how="leaf")
    else:
        seen = Reading(high_mm=request.thick_mm + off_mm - up_mm, how="leaf")
    return add_reading(facts, request.round, request.point, seen)


def _off_mm(thick_mm: float) -> float:
    """Return how far off may be what was tried: one bank card, two of them, or layers of paper."""
    cards = max(1, round(thick_mm / CARD_MM))
    return min(cards * CARD_TOLERANCE_MM, LAYERS_OFF * thick_mm)


@fold.register
def _(request: TakeReading, answer: AnyAnswer, facts: Facts) -> Facts:
    if not isinstance(answer, ReadingTaken):
        return facts
    reading = answer.reading.shifted(-above_mm(facts, request.z_mm))
    return add_reading(facts, request.round, request.point, reading)


@fold.register
def _(request: Feel, answer: AnyAnswer, facts: Facts) -> Facts:
    if not isinstance(answer, Felt):
        return facts
    felt = narrow(None, answer.touch, request.card_mm, above_mm(facts, request.z_mm))
    return add_reading(facts, request.round, request.point, felt)
