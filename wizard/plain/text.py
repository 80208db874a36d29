"""A page as lines of text: no escape codes, no boxes, nothing that needs a cursor. Pure."""

from __future__ import annotations

from wizard.facts import Facts
from wizard.instructions import Page, cautions
from wizard.instructions.fitting import sentences, wrapped
from wizard.keymap import USUAL, KeyMap

SIMULATED = "[simulated]"
WIDTH = 76
KEY_WORDS = {"enter": "ok"}


def render(page: Page, facts: Facts, keys: KeyMap = USUAL) -> str:
    """Return a page with what can be answered, ready to be printed."""
    return "\n".join((*told(page, facts), *answers(page, keys)))


def told(page: Page, facts: Facts) -> tuple[str, ...]:
    """Return what a page says, without the answers: for where somebody else answers."""
    body = wrapped(sentences(page.body), WIDTH)
    caution = caution_of(page)
    warning = (f"  Caution: {caution}",) if caution else ()
    drawn = (*_indented(page.picture), *_indented(page.table))
    return ("", labelled(page.title, facts), *_indented(body), *drawn, *warning)


def labelled(title: str, facts: Facts) -> str:
    """Return a title, with the label where the printer is a simulated one."""
    return f"{SIMULATED} {title}" if facts.simulated else title


def caution_of(page: Page) -> str:
    """Return the caution; the label of a simulated printer stands before the title already."""
    return "" if page.caution == cautions.SIMULATED else page.caution


def answers(page: Page, keys: KeyMap = USUAL) -> tuple[str, ...]:
    """Return what can be typed, a line each: the key, or its word, and what it means."""
    lines = [_row(_typed(choice.key, keys), choice.label) for choice in page.choices]
    if page.entry:
        lines.append(f"  or type: {page.hint}")
    if page.skip_reasons:
        lines.append(_row("leave out", "leave this out, with a reason"))
    return tuple(lines)


def refusal_choices(page: Page, keys: KeyMap = USUAL) -> str:
    """Return the keys of a page in one phrase: "y or n"."""
    typed = [_typed(choice.key, keys) for choice in page.choices]
    return " or ".join(typed) if typed else "help"


def _typed(key: str, keys: KeyMap) -> str:
    return KEY_WORDS.get(key) or keys.shown(key)


def _row(key: str, label: str) -> str:
    return f"  type {key}: {label}"


def _indented(lines: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(f"  {line}" for line in lines)
