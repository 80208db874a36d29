"""Typed turns, with and without names."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wizard.readings import ReadingError, parse_turned, parse_turns
from wizard.readings.turned import LARGEST_TURNS

TOLD = {"front left": -0.25, "front": 0.5, "back right": 1.0}
PARTS = [*"0123456789./,-+ ;°", "deg", "flat", " and ", "cw", "front left ", "front "]
TYPED = st.lists(st.sampled_from(PARTS), max_size=10).map("".join)


@pytest.mark.parametrize(
    ("text", "turns"),
    [
        ("1/4", 1 / 4),
        ("-1/4", -1 / 4),
        ("0.25", 1 / 4),
        ("-0,25", -1 / 4),
        ("−0.25", -1 / 4),
        ("+.25", 1 / 4),
        ("1 1/8", 9 / 8),
        ("1 and 3/8", 11 / 8),
        ("1 and 3/8 turns", 11 / 8),
        ("90 deg", 1 / 4),
        ("90°", 1 / 4),
        ("-22.5 degrees", -1 / 16),
        ("1 flat", 1 / 6),
        ("1 1/2 flats", 1 / 4),
        ("1/4 of a turn", 1 / 4),
        ("1/4 turn clockwise", 1 / 4),
        ("1/4 anticlockwise", -1 / 4),
        ("2 sheets", 2.0),
        ("0", 0.0),
    ],
)
def test_each_form_of_a_turn_is_read(text: str, turns: float) -> None:
    """Fractions, decimals, degrees and flats; clockwise is plus. A hex has six flats."""
    assert parse_turns(text) == pytest.approx(turns)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "Nothing was typed"),
        ("a bit", "is no turn"),
        ("1/0", "divides by nothing"),
        ("nan", "is no turn"),
        ("21", "more than 20 turns"),
        ("-1/4 clockwise", "a sign and a way"),
        ("9" * 110 + "/1", "more than 20 turns|too large"),
    ],
)
def test_each_refusal_of_a_turn_says_why(text: str, reason: str) -> None:
    """One sentence."""
    with pytest.raises(ReadingError, match=reason):
        parse_turns(text)


def tried(read: Callable[[str], Any], text: str) -> Any:
    """Return what is read, or the refusal's sentence."""
    try:
        return read(text)
    except ReadingError as refusal:
        return str(refusal)


@given(st.one_of(st.text(), TYPED))
def test_any_text_is_a_turn_or_a_refusal(text: str) -> None:
    """Never another exception, never more turns than an adjuster has, no adjuster that was not asked for."""
    turns, turned = tried(parse_turns, text), tried(lambda typed: parse_turned(typed, TOLD), text)
    assert turns.isprintable() if isinstance(turns, str) else abs(turns) <= LARGEST_TURNS
    assert turned.isprintable() if isinstance(turned, str) else turned.keys() == TOLD.keys()


def test_named_turns_replace_what_was_told() -> None:
    """The longest name wins; those not named were turned as told."""
    assert parse_turned("front left: +1/8; front -1/8", TOLD) == {
        "front left": 0.125,
        "front": -0.125,
        "back right": 1.0,
    }


def test_an_amount_without_a_way_goes_the_way_that_was_told() -> None:
    """Told anticlockwise and turned an eighth: nobody writes the minus."""
    assert parse_turned("1/8", {"front left": -0.25}) == {"front left": -0.125}
    assert parse_turned("front left 1/8", TOLD)["front left"] == -0.125
    assert parse_turned("1/8 clockwise", {"front left": -0.25}) == {"front left": 0.125}


def test_of_several_the_name_is_wanted() -> None:
    """An amount alone says nothing where several were to be turned."""
    with pytest.raises(ReadingError, match="Say which"):
        parse_turned("1/8", TOLD)
