"""Wording for taking readings: daylight, leaves, the feel of one card. Pure."""

from __future__ import annotations

from profiles.machine import Gauge
from wizard.facts import Facts
from wizard.instructions import cautions
from wizard.instructions.dispatch import page_of
from wizard.instructions.figures import bracket, mm
from wizard.instructions.fitting import fit, short
from wizard.instructions.page import Choice, Page
from wizard.instructions.warmth import early_mark
from wizard.requests import (
    ONE_CARD,
    Feel,
    Felt,
    LookForDaylight,
    ReadingTaken,
    Seen,
    Skipped,
    TakeReading,
)
from wizard.rounds import Reading

NAME_WIDTH = 28
BANK_CARD_MM = 0.76
AT_A_POINT = ("a clip is in the way", "cannot reach it", "not sure of the feel")


def skips(*reasons: str) -> tuple[Choice, ...]:
    """Return the reasons for leaving a step out, keyed by digits."""
    return tuple(Choice(str(n), reason, Skipped(reason)) for n, reason in enumerate(reasons, 1))


def where(request: TakeReading | Feel, facts: Facts) -> str:
    """Return the point, how far along the round is, what kind of round it is, and whether it is too early."""
    kind = "proving pass" if request.phase == "verify" else f"round {request.round}"
    place = f"{short(request.point, NAME_WIDTH)}: point {request.nth} of {request.total}"
    return f"{place}, {kind}{early_mark(facts)}."


def thick_thing(thick_mm: float, card_mm: float | None = None) -> str:
    """Return what to hold under the tip. A bank card is 0.76 mm, 0.08 either way (ISO/IEC 7810, ID-1)."""
    layers = round(thick_mm / card_mm) if card_mm else 0
    if card_mm and layers in (2, 4, 6) and abs(layers * card_mm - thick_mm) < 1e-6:
        return f"the card folded to {layers} layers ({thick_mm:g} mm)"
    if abs(thick_mm - BANK_CARD_MM) <= 0.08:
        return f"a bank card ({thick_mm:g} mm)"
    if _is_two_cards(thick_mm):
        return f"a stack of two bank cards ({thick_mm:g} mm)"
    return f"something {thick_mm:g} mm thick"


def _is_two_cards(thick_mm: float) -> bool:
    return abs(thick_mm - 2.0 * BANK_CARD_MM) < 1e-6


@page_of.register
def _(request: LookForDaylight, facts: Facts) -> Page:
    thing = thick_thing(request.thick_mm, facts.machine.gauge.card_mm)
    body = fit(
        f"{short(request.point, NAME_WIDTH)}: nozzle at Z {mm(request.z_mm)} mm, its gap not yet known.",
        f"Lay {thing} on the plate and slide it toward the tip, without force.",
        "It passes: the nozzle may come lower. It does not: "
        + ("one card is tried." if _is_two_cards(request.thick_mm) else "the nozzle stays so high."),
    )
    choices = (
        # No key of the feel that follows: a double press must not count as an answer to it.
        Choice("u", "it goes under: daylight", Seen(True)),
        Choice("n", "no: it does not go under", Seen(False)),
        *((Choice("o", ONE_CARD, Skipped(ONE_CARD)),) if _is_two_cards(request.thick_mm) else ()),
    )
    return Page(
        f"Does {thing} pass under the tip?",
        body,
        choices,
        cautions.at_the_nozzle(facts),
        skip_reasons=skips(*AT_A_POINT[:2]),
    )


@page_of.register
def _(request: TakeReading, facts: Facts) -> Page:
    leaves = facts.machine.gauge.leaves_mm
    start = request.start_leaf_mm
    body = fit(
        where(request, facts),
        f"Nozzle at Z {mm(request.z_mm)} mm." + (f" Start with the {mm(start)} leaf." if start else ""),
        "Leaf flat on the plate, no force: it slides, the next thicker will not enter.",
        "Type the one that slides, or both, such as 0.15-0.20.",
    )
    return Page(
        "Which leaf is the thickest that slides under?",
        body,
        _ends(facts.machine.gauge),
        cautions.at_the_nozzle(facts),
        entry="reading",
        hint="thickest that slides, mm",
        leaves_mm=leaves,
        skip_reasons=skips(*AT_A_POINT),
    )


def _ends(gauge: Gauge) -> tuple[Choice, ...]:
    """Return the keys for a gap beyond either end of the gauge; no letter that a typed reading has."""
    if not gauge.leaves_mm:
        return ()
    thinnest, thickest = min(gauge.leaves_mm), max(gauge.leaves_mm)
    return (
        Choice("w", f"wide: even {mm(thickest)} slides", ReadingTaken(Reading(thickest, None, "leaf"))),
        Choice("z", f"zero: not even {mm(thinnest)} enters", ReadingTaken(Reading(None, thinnest, "leaf"))),
    )


@page_of.register
def _(request: Feel, facts: Facts) -> Page:
    known = Reading(request.low_mm, request.high_mm, "feel")
    body = fit(
        where(request, facts),
        "Free: as if nothing held it. Drags: held lightly, still moves. Tight: will not enter or move.",
        f"Nozzle at Z {mm(request.z_mm)} mm. Gap at measuring height: {bracket(known)}.",
    )
    choices = (
        Choice("f", "free", Felt("free")),
        Choice("d", "drags lightly", Felt("drag")),
        Choice("t", "tight", Felt("tight")),
    )
    return Page(
        f"Slide the {mm(request.card_mm)} mm card: free, drags or tight?",
        body,
        choices,
        cautions.at_the_nozzle(facts),
        skip_reasons=skips(*AT_A_POINT),
    )
