"""All wording: request and facts in; title, lines, keys and caution out. Pure.

`page` is for what a person has to answer, `working` for what the machine is doing now. A name is
loaded when it is first asked for: a screen is painted before there is anything to say.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from wizard.facts import Facts
from wizard.instructions.dispatch import page_of
from wizard.instructions.page import RESERVED_KEYS, Choice, Entry, Page
from wizard.requests import AnyRequest

if TYPE_CHECKING:
    from wizard.instructions.faulty import fault_page
    from wizard.instructions.figures import bracket, mm, signed_mm
    from wizard.instructions.findings import finding_lines
    from wizard.instructions.suspicions import suspicion_sentence
    from wizard.instructions.tables import result_table
    from wizard.instructions.turns import TurnWords, short_turn, turn_words
    from wizard.instructions.typed_answers import answer_words, typed_answer
    from wizard.instructions.verdicts import verdict_sentence

__all__ = [
    "RESERVED_KEYS",
    "Choice",
    "Entry",
    "Page",
    "TurnWords",
    "answer_words",
    "bracket",
    "fault_page",
    "finding_lines",
    "mm",
    "page",
    "result_table",
    "short_turn",
    "signed_mm",
    "suspicion_sentence",
    "turn_words",
    "typed_answer",
    "verdict_sentence",
    "working",
]

_HOME = {
    "TurnWords": "turns",
    "answer_words": "typed_answers",
    "bracket": "figures",
    "fault_page": "faulty",
    "finding_lines": "findings",
    "mm": "figures",
    "result_table": "tables",
    "short_turn": "turns",
    "signed_mm": "figures",
    "suspicion_sentence": "suspicions",
    "turn_words": "turns",
    "typed_answer": "typed_answers",
    "verdict_sentence": "verdicts",
}


def __getattr__(name: str) -> Any:
    """Return a name of this package from the module it is in (PEP 562). Raises AttributeError."""
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOME[name]}"), name)


def page(request: AnyRequest, facts: Facts) -> Page:
    """Return all wording of a request that a person has to answer."""
    from wizard.instructions.thousandths import page_beside

    return page_beside(page_of(request, facts), facts)


def working(request: AnyRequest, facts: Facts) -> Page:
    """Return what to show while the machine carries out `request`."""
    from wizard.instructions.thousandths import page_beside

    return page_beside(page_of(request, facts), facts)
