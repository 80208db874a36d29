"""A typed line -> the answer it gives to a page, or an order to the session, or why neither. Pure."""

from __future__ import annotations

from typing import Literal, get_args

import msgspec

from profiles.faults import shown
from wizard.actions import Place
from wizard.instructions import Choice, Page, typed_answer
from wizard.keymap import USUAL, KeyMap
from wizard.plain.text import refusal_choices
from wizard.readings import ReadingError
from wizard.requests import AnyAnswer, Chosen, Skipped

Word = Literal[
    "stop", "back", "pause", "go on", "skip", "help", "log", "retry", "status", "hundredths", "quit"
]
SAME_WORD: dict[str, Word] = {
    "go": "go on",
    "leave out": "skip",
    "try again": "retry",
    "leave": "quit",
    "?": "help",
}
"""Other words for the same: those of the screens."""
SAME_KEY = {"": "enter", "ok": "enter", "enter": "enter", "yes": "y", "no": "n"}
SHORTEST_LABEL = 3
_JOB: frozenset[Place] = frozenset({"job", "paused", "fault"})
_TOLD: dict[str, str] = {
    "stop": "stop the machine at once and end the job",
    "pause": "begin nothing new",
    "go on": "end the pause",
    "back": "take the last answer back",
    "leave out": "leave this step out, with a reason",
    "try again": "after a fault: connect and home again, go on at the same step",
    "log": "show every line exchanged with the machine, or no longer",
    "status": "temperatures, position and line",
    "hundredths": "whole numbers typed from now on are hundredths of a mm",
}


class Order(msgspec.Struct, frozen=True):
    """What the person wants of the session rather than of the step; `rest` is what followed the word."""

    word: Word
    rest: str = ""


def orders(keys: KeyMap = USUAL) -> dict[str, Word]:
    """Return what gives an order: its word, the screens' word for it, and the key that does it there."""
    words: dict[str, Word] = {word: word for word in get_args(Word)} | SAME_WORD
    in_a_job = (action for action in keys.actions if action.places & _JOB)
    return {action.key: words[action.word] for action in in_a_job if action.word in words} | words


def help_lines(keys: KeyMap = USUAL) -> tuple[str, ...]:
    """Return what can be typed at any time: word, key, and what it does, a line each."""
    by_word = {action.word: action.key for action in keys.actions if action.places & _JOB}
    rows = [f"    {word:<11} {by_word.get(word, ''):<3} {told}" for word, told in _TOLD.items()]
    return ("Type a word or its key, then Enter. At any time:", *rows)


def read_order(line: str, keys: KeyMap = USUAL) -> Order | None:
    """Return the order that a line gives; None where it gives none."""
    typed = " ".join(line.split())
    plain = typed.casefold()
    word = orders(keys).get(plain)
    if word is not None:
        return Order(word)
    for leave_out in ("skip ", "leave out "):
        if plain.startswith(leave_out):
            return Order("skip", typed[len(leave_out) :])
    return None


def read_answer(page: Page, line: str, *, hundredths: bool = False, keys: KeyMap = USUAL) -> AnyAnswer | str:
    """Return the answer that `line` gives to `page`, or one sentence that says why it gives none."""
    plain = " ".join(line.split()).casefold()
    choice = _by_key(page.choices, keys.meant(plain) if len(plain) == 1 else plain)
    if choice:
        return choice.answer
    refusal = ""
    if page.entry:
        try:
            return typed_answer(page, _without_entry_key(page, line, keys), hundredths=hundredths)
        except ReadingError as error:
            refusal = str(error)
    choice = _by_label(page.choices, plain)
    if choice:
        return choice.answer
    return refusal or f"{shown(line.strip())} is no answer here: type {refusal_choices(page, keys)}."


def read_skip(page: Page, text: str) -> Skipped | str:
    """Return the skip for a reason: its number, or the reason in words. A sentence where there is none."""
    if not page.skip_reasons:
        return "This step cannot be left out."
    plain = " ".join(text.split())
    for choice in page.skip_reasons:
        if plain in (choice.key, choice.label) and isinstance(choice.answer, Skipped):
            return choice.answer
    if not plain or plain.isdecimal():
        numbered = ", ".join(f"{choice.key} {choice.label}" for choice in page.skip_reasons)
        return f"Why? Type skip and a reason, or its number: {numbered}."
    return Skipped(plain)


def _without_entry_key(page: Page, line: str, keys: KeyMap) -> str:
    """Return the line less the key that opens the entry on a screen: "o 1/8" is "1/8"."""
    first, _, rest = line.strip().partition(" ")
    return rest if page.entry_key and first.casefold() == keys.shown(page.entry_key) else line


def _by_key(choices: tuple[Choice, ...], plain: str) -> Choice | None:
    key = SAME_KEY.get(plain, plain)
    return next((choice for choice in choices if choice.key == key), None)


def _by_label(choices: tuple[Choice, ...], plain: str) -> Choice | None:
    """Return the one choice whose label begins with what was typed, or whose option it is."""
    if len(plain) < SHORTEST_LABEL:
        return None
    begun = [choice for choice in choices if choice.label.casefold().startswith(plain)]
    begun = begun or [choice for choice in choices if choice.answer == Chosen(plain)]
    return begun[0] if len(begun) == 1 else None
