"""What a recheck has found, in plain words with the figure, and the ways on. Pure."""

from __future__ import annotations

from collections.abc import Callable

from wizard.facts import Facts
from wizard.instructions import cautions
from wizard.instructions.dispatch import page_of
from wizard.instructions.figures import counted, mm, signed_mm
from wizard.instructions.fitting import fit, short
from wizard.instructions.page import Choice, Page
from wizard.instructions.tables import result_table
from wizard.instructions.verdicts import verdict_sentence
from wizard.requests import CLOSE, LEVEL_NOW, SET_HEIGHT, Chosen, ShowChange
from wizard.since.change import Change

NAME_WIDTH = 24
OPEN_U_MM = 0.03
LABELS = {
    SET_HEIGHT: ("h", "set the nozzle height now"),
    LEVEL_NOW: ("v", "level the bed now"),
    CLOSE: ("enter", "end here"),
}


@page_of.register
def _(request: ShowChange, facts: Facts) -> Page:
    change = request.change
    body = fit(
        change_sentence(change),
        f"Told by {counted(len(change.read), 'reading')} ({_odds(change)}) against the last proven run.",
        verdict_sentence(change.finding, facts.machine),
        _advice(change),
    )
    choices = tuple(Choice(*LABELS[option], Chosen(option)) for option in request.options)
    moves = request.options != (CLOSE,)
    hot = cautions.HOT if cautions.is_hot(facts) else ""
    caution = cautions.unless_simulated(facts, cautions.MOVES_NEXT if moves else hot)
    return Page(_title(change), body, choices, caution, table=result_table(change.finding))


def _odds(change: Change) -> str:
    """Return the probability in words; never a certainty."""
    return "more than 99 %" if change.odds > 0.99 else f"{100.0 * change.odds:.0f} %"


def days_words(days: float) -> str:
    """Return a span as it is said: "today's run", "12 days"."""
    return "less than a day" if days < 1.0 else counted(round(days), "day")


def change_sentence(change: Change) -> str:
    """Return what has changed, with the figure."""
    return _SENTENCES[change.kind](change)


def _same(change: Change) -> str:
    return (
        f"Nothing to set: over the whole plate the gap differs by {signed_mm(change.height_mm)} mm "
        f"from the run of {days_words(change.days)} ago."
    )


def _height(change: Change) -> str:
    if change.done:
        return f"Only the height had moved, by {signed_mm(change.height_mm)} mm: it is set."
    return (
        f"Only the height moved, by {signed_mm(change.height_mm)} mm (U={mm(2.0 * change.u_mm)} mm): "
        "set it, and done."
    )


def _tilt(change: Change) -> str:
    way = "risen" if change.place_mm > 0 else "dropped"
    return (
        f"{short(change.place, NAME_WIDTH).capitalize()} has {way} by {mm(abs(change.place_mm))} mm "
        f"against the rest of the plate, in {days_words(change.days)}: level."
    )


def _wrong(change: Change) -> str:
    if change.suspect:
        return (
            f"One reading stands against all others: {short(change.suspect, NAME_WIDTH)}. Look, then level."
        )
    if change.coarse or change.u_mm > OPEN_U_MM:
        return "The gaps are beyond what the gauge reads: not known well enough to be compared. Level."
    return (
        "The readings fit no simple change: a loose part, a crumb under the plate, a slip. Look, then level."
    )


_SENTENCES: dict[str, Callable[[Change], str]] = {
    "same": _same,
    "height": _height,
    "tilt": _tilt,
    "wrong": _wrong,
}


def _title(change: Change) -> str:
    if change.kind == "same":
        return "It is still right."
    if change.kind == "height":
        return "The height is set." if change.done else "Only the nozzle height has changed."
    return "The plate has moved." if change.kind == "tilt" else "Something is wrong."


def _advice(change: Change) -> str:
    """Say what is not proven, and what would be."""
    if change.kind in ("tilt", "wrong"):
        return "Levelling reads every point and proves it."
    if change.proven:
        return ""
    if not change.done and change.kind == "height":
        return "After the setting it is read again."
    return "Not proven anew: near the limit. Levelling reads every point and proves it."


__all__ = ["change_sentence", "days_words"]
