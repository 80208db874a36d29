"""Answers made from a profile's reply pattern."""

from __future__ import annotations

import re

import pytest

from drivers.simulated.answering import answer_matching


@pytest.mark.parametrize(
    "pattern",
    [
        r"Z: ?(?P<z_mm>-?[0-9.]+)",
        r"^height\s+Z=(?P<z_mm>[-+]?\d+\.\d+) mm$",
        r"(?:a|b)[x-z]{2}\d+ (?P<z_mm>.*)",
        r"[a-c]+\w(?P<z_mm>\S+)",
        r"(?:(?P<x>\d+),)+(?P<z_mm>[^,]+)",
    ],
)
def test_an_answer_is_made_that_the_pattern_finds_the_number_in(pattern):
    assert re.search(pattern, answer_matching(pattern, "z_mm", "-1.250"))["z_mm"] == "-1.250"


def test_a_pattern_that_cannot_be_answered_is_refused():
    with pytest.raises(ValueError, match="no answer could be made"):
        answer_matching(r"(?!x)x(?P<z_mm>1)", "z_mm", "2")
