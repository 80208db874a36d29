"""One step in hand: which key sends which answer."""

from __future__ import annotations

from typing import Any

import pytest

from profiles.machine import Machine
from wizard.facts import Facts
from wizard.instructions.dispatch import page_of
from wizard.requests import (
    ChangeHeightByMenu,
    Confirm,
    Confirmed,
    Feel,
    Felt,
    HeightChanged,
    ReadingTaken,
    Skipped,
    TakeReading,
    Turn,
    Turned,
)
from wizard.rounds import Reading
from wizard.screens.step_desk import StepDesk, Used
from wizard.solver.finding import Finding

READING = TakeReading("front right", 0.2, 1, 4, 5, "first", 0.15)


def _desk(request: Any, facts: Facts, ticks: list[tuple[str, float]] | None = None) -> StepDesk:
    note = (lambda name, turns: ticks.append((name, turns))) if ticks is not None else (lambda *_: None)
    return StepDesk(request, page_of(request, facts), note)


def _type(desk: StepDesk, text: str) -> Any:
    used: Any = Used.NO
    for character in text:
        used = desk.press(character, character)
    return used


@pytest.mark.parametrize(
    ("typed", "reading"),
    [
        (".15", Reading(0.15, 0.20, "leaf")),
        ("0,15", Reading(0.15, 0.20, "leaf")),
        ("0.15-0.20", Reading(0.15, 0.20, "leaf")),
        (">0.5", Reading(0.5, None, "leaf")),
        ("<.05", Reading(None, 0.05, "leaf")),
    ],
)
def test_a_typed_reading_is_sent_by_enter(facts: Facts, typed: str, reading: Reading) -> None:
    desk = _desk(READING, facts)
    assert _type(desk, typed) is Used.YES
    assert desk.press("enter", "\r") == ReadingTaken(reading)


def test_letters_belong_to_a_typed_reading_once_it_has_begun(facts: Facts) -> None:
    """In `6 thou` no letter is taken for a key of its own."""
    desk = _desk(READING, facts)
    _type(desk, "6 thou")
    answer = desk.press("enter", "\r")
    assert isinstance(answer, ReadingTaken)
    assert answer.reading.low_mm == pytest.approx(0.1524)


def test_a_refused_reading_stays_to_be_mended_with_the_reason(facts: Facts) -> None:
    desk = _desk(READING, facts)
    _type(desk, "0.30-0.20")
    assert desk.press("enter", "\r") is Used.YES
    assert "wrong way round" in desk.typing.refusal
    assert desk.typing.text == "0.30-0.20"
    desk.press("backspace", None)
    assert desk.typing.refusal == ""


def test_the_stop_key_never_becomes_part_of_what_is_typed(facts: Facts) -> None:
    desk = _desk(READING, facts)
    _type(desk, "0.1")
    assert desk.press("x", "x") is Used.NO
    assert desk.typing.text == "0.1"


def test_enter_with_nothing_typed_sends_nothing(facts: Facts) -> None:
    assert _desk(READING, facts).press("enter", "\r") is Used.NO


def test_escape_clears_what_is_typed(facts: Facts) -> None:
    desk = _desk(READING, facts)
    _type(desk, "0.1")
    assert desk.press("escape", None) is Used.YES
    assert desk.typing.text == ""
    assert desk.typing.open


def test_a_feel_is_one_key(facts: Facts) -> None:
    request = Feel("front right", 0.25, 0.10, 1, 4, 5, "first")
    assert _desk(request, facts).press("d", "d") == Felt("drag")
    assert _desk(request, facts).press("enter", "\r") is Used.NO


def test_where_the_machine_moves_next_enter_alone_does_not_do(facts: Facts) -> None:
    """A key that is hit again and again by habit moves nothing."""
    desk = _desk(Confirm("hands-clear"), facts)
    assert desk.press("enter", "\r") is Used.NO
    assert desk.press("y", "y") == Confirmed()


def test_leaving_out_asks_why_and_can_be_given_up(facts: Facts) -> None:
    desk = _desk(READING, facts)
    assert desk.press("k", "k") is Used.YES
    assert desk.skipping
    assert desk.press("escape", None) is Used.YES
    assert not desk.skipping
    desk.press("k", "k")
    answer = desk.press("2", "2")
    assert isinstance(answer, Skipped)
    assert answer.reason == desk.page.skip_reasons[1].label


def test_turns_are_ticked_one_by_one_and_sent_by_a_last_enter(facts: Facts, finding: Finding) -> None:
    desk = _desk(Turn(finding.turns, 1, False, finding), facts)
    for _ in finding.turns:
        assert desk.press("enter", "\r") is Used.YES
    assert desk.press("enter", "\r") == Turned(finding.turns)


def test_what_was_really_turned_can_be_typed_and_goes_the_way_that_was_told(
    facts: Facts, finding: Finding
) -> None:
    desk = _desk(Turn(finding.turns, 1, False, finding), facts)
    desk.press("2", "2")
    desk.press("o", "o")
    _type(desk, "1/2")
    assert desk.press("enter", "\r") is Used.YES
    assert desk.turns.made == {"back left": -0.5}


def test_each_tick_and_each_tick_taken_back_is_told(facts: Facts, finding: Finding) -> None:
    """So that a virtual hand turns what the person says, no more and no less."""
    ticks: list[tuple[str, float]] = []
    desk = _desk(Turn(finding.turns, 1, False, finding), facts, ticks)
    desk.press("enter", "\r")
    desk.press("1", "1")
    desk.press("y", "y")
    total = {name: sum(t for n, t in ticks if n == name) for name in finding.turns}
    assert total == finding.turns


def test_turned_nothing_turns_ticked_ones_back(facts: Facts, finding: Finding) -> None:
    ticks: list[tuple[str, float]] = []
    desk = _desk(Turn(finding.turns, 1, False, finding), facts, ticks)
    desk.press("enter", "\r")
    assert desk.press("n", "n") == Turned(dict.fromkeys(finding.turns, 0.0))
    assert sum(turns for _, turns in ticks) == 0.0


def test_a_height_is_typed_only_after_its_key(facts: Facts, finding: Finding, machine: Machine) -> None:
    desk = _desk(ChangeHeightByMenu(0.05, finding), facts)
    assert desk.press("3", "3") is Used.NO
    desk.press("o", "o")
    _type(desk, "0.03")
    assert desk.press("enter", "\r") == HeightChanged(0.03)
