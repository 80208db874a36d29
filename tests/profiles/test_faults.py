from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.faults import LONGEST_SHOWN, missing, nearest, printable, shown, unknown, unwanted, wrong


def test_each_fault_reads_as_one_sentence() -> None:
    assert wrong("a.b", 3, "4").sentence("f") == "f: a.b is 3, but must be 4."
    assert missing("a.b", "4").sentence("f") == "f: a.b is missing; it must be 4."
    assert unwanted("a", "x", "no").sentence("f") == 'f: a is "x", but must be left out: no.'
    assert unknown("a", "bb", ["b", "c"]).sentence("f").startswith("f: a.bb is no key of a profile; ")


def test_the_nearest_name_comes_before_all_allowed_ones() -> None:
    assert nearest("front lft", ("front left", "centre")) == (
        'perhaps "front left" is meant; allowed are front left, centre'
    )
    assert nearest("zzz", ("front left", "centre")) == "allowed are front left, centre"


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (0.1 + 0.2, "0.30000000000000004"),
        (5.0, "5"),
        (True, "true"),
        ([1, "a"], '[1, "a"]'),
        ({}, "a table"),
        ("\x1b[1m\u202e", '"\\x1b[1m\\u202e"'),
        pytest.param(10**5000, "a number of thousands of digits", id="a giant"),
    ],
)
def test_a_value_is_shown_as_it_was_written(value: object, said: str) -> None:
    assert shown(value) == said


@given(st.text())
def test_whatever_is_shown_is_printable_and_short(text: str) -> None:
    assert printable(text).isprintable()
    assert shown(text).isprintable()
    assert len(shown(text)) <= LONGEST_SHOWN + 2
