"""All wording: request and facts in; title, lines, keys and caution out. Pure.

`page` is for what a person has to answer, `working` for what the machine is doing now.
"""

from __future__ import annotations

from wizard.facts import Facts
from wizard.instructions import (  # noqa: F401
    adjusting,
    byhand,
    choosing,
    compensating,
    confirming,
    machine_work,
    measuring,
    printing,
    rechecking,
    results,
)
from wizard.instructions.dispatch import page_of
from wizard.instructions.faulty import fault_page
from wizard.instructions.figures import bracket, mm, signed_mm
from wizard.instructions.findings import finding_lines
from wizard.instructions.page import RESERVED_KEYS, Choice, Entry, Page
from wizard.instructions.suspicions import suspicion_sentence
from wizard.instructions.tables import result_table
from wizard.instructions.thousandths import page_beside
from wizard.instructions.turns import TurnWords, short_turn, turn_words
from wizard.instructions.typed_answers import answer_words, typed_answer
from wizard.instructions.verdicts import verdict_sentence
from wizard.requests import AnyRequest

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


def page(request: AnyRequest, facts: Facts) -> Page:
    """Return all wording of a request that a person has to answer."""
    return page_beside(page_of(request, facts), facts)


def working(request: AnyRequest, facts: Facts) -> Page:
    """Return what to show while the machine carries out `request`."""
    return page_beside(page_of(request, facts), facts)
