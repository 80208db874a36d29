"""Typed text -> the answer to a page that has an entry; and any answer in words. Pure."""

from __future__ import annotations

from functools import singledispatch

from profiles.faults import shown
from wizard.instructions.figures import bracket, mm, signed_mm
from wizard.instructions.page import Page
from wizard.instructions.printing import LOOKS
from wizard.readings import (
    ReadingError,
    parse,
    parse_filament,
    parse_height,
    parse_pad,
    parse_thickness,
    parse_turned,
)
from wizard.requests import (
    AnyAnswer,
    Chosen,
    Connected,
    Done,
    Felt,
    Filament,
    HeightChanged,
    PadMeasured,
    PadSeen,
    ReadingTaken,
    Seen,
    Skipped,
    Thickness,
    Turned,
)


def typed_answer(page: Page, text: str, *, hundredths: bool = False) -> AnyAnswer:
    """Return the answer that `text` gives to `page`. Raises ReadingError with one sentence."""
    if page.entry == "reading":
        return ReadingTaken(parse(text, leaves=page.leaves_mm, hundredths=hundredths))
    if page.entry == "turns":
        return Turned(parse_turned(text, page.told))
    if page.entry == "height":
        return HeightChanged(parse_height(text))
    if page.entry == "filament":
        return Filament(*parse_filament(text))
    if page.entry == "pad":
        return PadMeasured(parse_pad(text, hundredths=hundredths))
    if page.entry == "thickness":
        return Thickness(parse_thickness(text))
    raise ReadingError(f"{shown(text)} cannot be typed here: choose one of the keys.")


@singledispatch
def answer_words(answer: object) -> str:
    """Return an answer in a few words, for logs and line-by-line text."""
    return "done"


@answer_words.register
def _(answer: Done) -> str:
    return answer.note or "done"


@answer_words.register
def _(answer: Connected) -> str:
    told = ", ".join(f"{key} {value}" for key, value in answer.identity.items())
    label = "simulated printer" if answer.simulated else "connected"
    return f"{label}: {answer.line}{f' ({told})' if told else ''}"


@answer_words.register
def _(answer: Chosen) -> str:
    return answer.option


@answer_words.register
def _(answer: Seen) -> str:
    return "it passes" if answer.clear else "it does not pass"


@answer_words.register
def _(answer: ReadingTaken) -> str:
    return f"gap {bracket(answer.reading)}"


@answer_words.register
def _(answer: Felt) -> str:
    return {"free": "free", "drag": "drags lightly", "tight": "tight"}[answer.touch]


@answer_words.register
def _(answer: Turned) -> str:
    made = [f"{name} {turns:+.4g}" for name, turns in answer.turns.items() if turns]
    return f"turned {', '.join(made)} (clockwise is +)" if made else "turned nothing"


@answer_words.register
def _(answer: Thickness) -> str:
    return f"one sheet is {mm(answer.thick_mm)} mm"


@answer_words.register
def _(answer: HeightChanged) -> str:
    return f"nozzle {signed_mm(answer.change_mm)} mm"


@answer_words.register
def _(answer: Filament) -> str:
    return f"plate {answer.bed_c:g}, nozzle {answer.nozzle_c:g} degrees C"


@answer_words.register
def _(answer: PadMeasured) -> str:
    return f"pad {mm(answer.thick_mm)} mm"


@answer_words.register
def _(answer: PadSeen) -> str:
    return LOOKS[answer.look]


@answer_words.register
def _(answer: Skipped) -> str:
    return f"left out: {answer.reason}"
