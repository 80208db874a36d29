"""What follows from what was felt, read or touched: a reading at the measuring height."""

from __future__ import annotations

import math

from wizard.facts.fold import fold
from wizard.facts.known import Facts, above_mm, add_reading, away, changed
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

CARD_TOLERANCE_MM = 0.08
"""How far a bank card may be off its 0.76 mm: ISO/IEC 7810, ID-1."""

LAYERS_OFF = 0.11
"""How far layers of folded paper may be off, as a share: sheets of 0.10 mm give or take 0.01 mm."""

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
    facts = changed(away(facts), probe_offset_mm=request.offset_mm, probe_u_mm=request.u_mm)
    return add_reading(facts, request.round, request.point, reading)


@fold.register
def _(request: TouchTest, answer: AnyAnswer, facts: Facts) -> Facts:
    if not isinstance(answer, Touched) or len(answer.z_mm) < MANY_TOUCHES:
        return away(facts)
    from statistics import stdev

    return changed(away(facts), touch_sd_mm=round(stdev(answer.z_mm), 6))


@fold.register
def _(request: TouchGrid, answer: AnyAnswer, facts: Facts) -> Facts:
    return away(facts)


@fold.register
def _(request: LookForDaylight, answer: AnyAnswer, facts: Facts) -> Facts:
    if not isinstance(answer, Seen):
        return facts
    up_mm, off_mm = above_mm(facts, request.z_mm), min(CARD_TOLERANCE_MM, LAYERS_OFF * request.thick_mm)
    if answer.clear:
        seen = Reading(low_mm=request.thick_mm - off_mm - up_mm, how="leaf")
    else:
        seen = Reading(high_mm=request.thick_mm + off_mm - up_mm, how="leaf")
    return add_reading(facts, request.round, request.point, seen)


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
