"""Typed lines against pages: keys, words, typed figures, orders."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.load import load
from wizard import requests as ask
from wizard.facts import Facts
from wizard.instructions import Page, page
from wizard.plain import Order, read_answer, read_order, render
from wizard.plain.answers import orders, read_skip
from wizard.rounds import Reading
from wizard.solver.finding import Finding

FACTS = Facts(load("four-corner-220"))
TURN = ask.Turn({"front left": 0.25, "back left": -0.5}, 1, False, Finding("outside", "turn"))
REQUESTS = (
    ask.Confirm("cautions"),
    ask.Confirm("hands-clear"),
    ask.Choose("gauge", ("leaf", "feel")),
    ask.Choose("stuck", (ask.GO_ON_ANYWAY, ask.REPEAT_READINGS, ask.STOP_HERE)),
    ask.Choose("suspicion", (ask.AS_SUSPECTED, ask.READ_AGAIN, ask.GO_ON)),
    ask.LookForDaylight("centre", 0.8, 0.76),
    ask.TakeReading("centre", 0.2, 1, 1, 5, "first"),
    ask.Feel("centre", 0.2, 0.1, 1, 1, 5, "first"),
    TURN,
    ask.ChangeHeightByMenu(0.03, TURN.finding),
    ask.MoveByHand("park", "centre", 0.2),
)
PAGES = [page(request, FACTS) for request in REQUESTS]


@pytest.mark.parametrize("shown", PAGES, ids=lambda shown: shown.title)
def test_each_key_and_each_label_gives_its_answer(shown: Page) -> None:
    """The key in either case, and the whole label, are the same answer."""
    for choice in shown.choices:
        assert read_answer(shown, choice.key) == choice.answer
        assert read_answer(shown, f" {choice.key.upper()} ") == choice.answer
        assert read_answer(shown, choice.label) == choice.answer


@pytest.mark.parametrize("shown", PAGES, ids=lambda shown: shown.title)
def test_what_can_be_typed_is_on_the_page(shown: Page) -> None:
    """Each key has its row, and no row is longer than a terminal of 80 columns."""
    rows = render(shown, FACTS).split("\n")
    for choice in shown.choices:
        word = "ok" if choice.key == "enter" else choice.key
        assert f"  type {word}: {choice.label}" in rows
    assert all(len(row) < 80 for row in rows)


@pytest.mark.parametrize("shown", PAGES, ids=lambda shown: shown.title)
def test_no_key_of_a_page_is_an_order(shown: Page) -> None:
    """A key that answers never also stops, pauses or goes back."""
    assert not {choice.key for choice in shown.choices} & orders().keys()


@given(st.sampled_from(PAGES), st.one_of(st.text(), st.text("0123456789./-<> yn", max_size=6)))
def test_any_line_is_an_answer_or_a_harmless_refusal(shown: Page, line: str) -> None:
    """Never an exception, never a character that acts on a terminal."""
    answer = read_answer(shown, line)
    if isinstance(answer, str):
        assert answer.isprintable()
        assert answer.endswith(".")
    skipped = read_skip(shown, line)
    assert isinstance(skipped, ask.Skipped) or skipped.endswith(".")


def test_an_empty_line_answers_only_where_nothing_moves() -> None:
    """Enter alone is "read, go on"; it never makes a machine move."""
    assert read_answer(page(ask.Confirm("cautions"), FACTS), "") == ask.Confirmed()
    assert isinstance(read_answer(page(ask.Confirm("hands-clear"), FACTS), ""), str)


def test_typed_figures_are_answers() -> None:
    """Readings, turns with or without the key that opens them on a screen, and heights."""
    reading = page(ask.TakeReading("centre", 0.2, 1, 1, 5, "first"), FACTS)
    assert read_answer(reading, "15-20") == ask.ReadingTaken(Reading(0.15, 0.20, "leaf"))
    turn = page(TURN, FACTS)
    expected = ask.Turned({"front left": 0.125, "back left": -0.5})
    assert read_answer(turn, "front left 1/8") == expected
    assert read_answer(turn, "o front left 1/8") == expected
    height = page(ask.ChangeHeightByMenu(0.03, TURN.finding), FACTS)
    assert read_answer(height, "0.02") == ask.HeightChanged(0.02)


def test_a_label_is_taken_from_three_letters_on_if_it_is_the_only_one() -> None:
    """ "dra" is drags; a beginning that two labels share is not taken."""
    feel = page(ask.Feel("centre", 0.2, 0.1, 1, 1, 5, "first"), FACTS)
    assert read_answer(feel, "dra") == ask.Felt("drag")
    turn = page(TURN, FACTS)
    assert isinstance(read_answer(turn, "turned"), str)
    assert read_answer(page(ask.Choose("gauge", ("leaf", "feel")), FACTS), "leaf") == ask.Chosen("leaf")


@pytest.mark.parametrize(
    ("line", "order"),
    [
        ("stop", Order("stop")),
        ("  Stop ", Order("stop")),
        ("x", Order("stop")),
        ("b", Order("back")),
        ("go on", Order("go on")),
        ("go", Order("go on")),
        ("skip", Order("skip")),
        ("skip a Clip", Order("skip", "a Clip")),
        ("?", Order("help")),
        ("stop here", None),
        ("0.15", None),
        ("", None),
    ],
)
def test_orders_are_words_or_their_keys(line: str, order: Order | None) -> None:
    """Only the whole word is an order; what is more is an answer."""
    assert read_order(line) == order


def test_reasons_for_leaving_out_are_numbers_or_words() -> None:
    """A number that is not listed is no reason."""
    shown = page(ask.TakeReading("centre", 0.2, 1, 1, 5, "first"), FACTS)
    assert read_skip(shown, "2") == ask.Skipped("cannot reach it")
    assert read_skip(shown, "too hot") == ask.Skipped("too hot")
    assert str(read_skip(shown, "9")).startswith("Why?")
    assert read_skip(page(ask.Confirm("cautions"), FACTS), "1") == "This step cannot be left out."
