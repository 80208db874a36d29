"""Wording for what a person changes: turns, the endstop screw, the height in the machine's menu. Pure."""

from __future__ import annotations

from collections.abc import Iterable

from profiles.machine import Thread
from profiles.tipping import tipping
from wizard.facts import Facts
from wizard.instructions import cautions
from wizard.instructions.dispatch import page_of
from wizard.instructions.figures import counted, mm, signed_mm
from wizard.instructions.fitting import fit, fits, headline, short, wrapped
from wizard.instructions.measuring import NAME_WIDTH, skips
from wizard.instructions.page import Choice, Page
from wizard.instructions.turns import ENDSTOP, TurnWords, short_turn, turn_words
from wizard.requests import AskSheet, ChangeHeightByMenu, HeightChanged, Thickness, Turn, Turned, TurnEndstop

OTHER_KEY = "o"
COARSE = "Coarse: into the gauge's range, with a safe gap left. Fine turns follow."
AT_AN_ADJUSTER = ("cannot reach it", "it is stuck", "it is at its end", "read again first")


@page_of.register
def _(request: Turn, facts: Facts) -> Page:
    words = tuple(turn_words(facts.machine.adjuster_named(name), t) for name, t in request.turns.items())
    turns = tuple(turn_line(each) for each in words)
    first, last = _seen_from(words), COARSE if request.coarse else _expected(request)
    tips = _tips(request, facts)
    together = fits(first, *turns, tips, last)
    return Page(
        _turn_title(words),
        fit(first, *turns, tips, last) if together else fit(first, "The turns are listed below.", tips, last),
        _made(request.turns),
        cautions.at_the_adjusters(facts),
        entry="turns",
        hint="what you really turned, such as 1/8 or -1/8 (clockwise is +)",
        entry_key=OTHER_KEY,
        told=request.turns,
        skip_reasons=skips(*AT_AN_ADJUSTER),
        table=() if together else wrapped(turns),
    )


def _tips(request: Turn, facts: Facts) -> str:
    """On three supports: say what a turn does to the whole plate, so that nobody thinks of four corners."""
    if not any(tipping(facts.machine, name) for name in request.turns):
        return ""
    return "Each tips the plate about the line through the other two; the map shows what goes up and down."


def turn_line(words: TurnWords) -> str:
    """Return one turn on one line: name, turn, angle, and what it does by how much."""
    angle = ", ".join(part for part in (words.degrees, words.flats) if part)
    by = "" if words.effect_mm is None else f" {abs(words.effect_mm):.2f} mm"
    effect = f"{words.effect.removesuffix(' here')}{by}" if by else "its way is learnt from this"
    parts = (short_turn(words), angle, effect)
    return f"{short(words.name, NAME_WIDTH)}: {', '.join(part for part in parts if part)}."


def _made(turns: dict[str, float]) -> tuple[Choice, ...]:
    return (
        Choice("y", "turned as told", Turned(turns)),
        Choice("n", "turned nothing", Turned(dict.fromkeys(turns, 0.0))),
    )


def _turn_title(words: tuple[TurnWords, ...]) -> str:
    if len(words) == 1:
        return headline("Turn ", words[0].name, f": {short_turn(words[0])}.")
    if all(word.direction in ("add", "take out") for word in words):
        return f"Change the shims at {counted(len(words), 'support')}."
    return f"Make these {counted(len(words), 'turn')}, one by one."


def _seen_from(words: Iterable[TurnWords]) -> str:
    """Say the side once where all share it, else for each."""
    sides = {word.side for word in words if word.side}
    if not sides:
        return ""
    if len(sides) == 1:
        return f"The nozzle is lifted. All seen from {_side(sides.pop())}:"
    each = (f"{short(word.name, NAME_WIDTH)} from {_side(word.side)}" for word in words if word.side)
    return f"Seen: {', '.join(each)}."


def _side(side: str) -> str:
    return side if side in ("above", "below") else f"the {side}"


def _expected(request: Turn) -> str:
    """Say what the worst gap should be off by afterwards: predicted gap less the wanted one."""
    points = request.finding.points.values()
    if not points or request.finding.height_change_mm:
        return ""
    worst_mm = max(abs(p.predicted_mm - (p.gap_mm - p.deviation_mm)) for p in points)
    return f"Expected then: worst gap {mm(worst_mm)} mm off."


@page_of.register
def _(request: TurnEndstop, facts: Facts) -> Page:
    words = turn_words(facts.machine.height.screw or Thread(), request.turns)
    told = {ENDSTOP: request.turns}
    angle = ", ".join(part for part in (words.degrees, words.flats) if part)
    body = fit(
        f"{_capital(words.in_words)} {words.direction}, seen from {_side(words.side)} ({angle}).",
        _endstop_effect(request),
        "Hold the screw's nut still, if it has one. The machine homes again afterwards.",
    )
    return Page(
        headline("Turn the ", ENDSTOP, f": {short_turn(words)}."),
        body,
        _made(told),
        cautions.at_the_adjusters(facts),
        entry="turns",
        hint="what you really turned, such as 1/8 or -1/8 (clockwise is +)",
        entry_key=OTHER_KEY,
        told=told,
        skip_reasons=skips(*AT_AN_ADJUSTER),
    )


def _endstop_effect(request: TurnEndstop) -> str:
    """Say what the turn does, or that it is a try, which teaches the screw's direction."""
    if request.u_mm > abs(request.change_mm):
        return (
            "Which way the nozzle moves, and how far, is learnt from this turn: one point is read after it."
        )
    way = "rises" if request.change_mm > 0 else "comes down"
    return f"The nozzle then {way} {abs(request.change_mm):.2f} mm at every point."


@page_of.register
def _(request: AskSheet, facts: Facts) -> Page:
    body = fit(
        "Shims go under the plate's mounts in whole sheets of one thickness.",
        f"The profile says {mm(request.usual_mm)} mm. Measure a stack of ten and divide, or read the packet.",
        "How many sheets go where is worked out from it.",
    )
    choices = (Choice("y", f"{mm(request.usual_mm)} mm", Thickness(request.usual_mm)),)
    return Page(
        "How thick is one sheet of your shims?",
        body,
        choices,
        cautions.at_the_adjusters(facts),
        entry="thickness",
        hint="thickness of one sheet, mm",
        entry_key=OTHER_KEY,
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


@page_of.register
def _(request: ChangeHeightByMenu, facts: Facts) -> Page:
    raised = "raise" if request.change_mm > 0 else "lower"
    size = f"{abs(request.change_mm):.2f} mm"
    body = fit(
        f"In the machine's own menu {raised} the nozzle height by {size}, and store it there.",
        "Menus differ in sign: afterwards the gap must be "
        f"{'wider' if request.change_mm > 0 else 'narrower'}; the next reading checks it.",
    )
    choices = (
        Choice("y", f"done: {signed_mm(request.change_mm)} mm", HeightChanged(request.change_mm)),
        Choice("n", "changed nothing", HeightChanged(0.0)),
    )
    return Page(
        f"{raised.capitalize()} the nozzle by {size} in its menu.",
        body,
        choices,
        cautions.at_the_adjusters(facts),
        entry="height",
        hint="how far you raised it, mm (+ is up)",
        entry_key=OTHER_KEY,
        skip_reasons=skips("its menu cannot do that", "read again first"),
    )
