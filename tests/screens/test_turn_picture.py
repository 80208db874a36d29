"""The picture of a turn: its arc grows with the turn and runs the way of the hand."""

from __future__ import annotations

from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.machine import Head
from wizard.widgets.marks import FULL, PLAIN
from wizard.widgets.turn_picture import draw_turn

HEADS = get_args(Head)


@given(turns=st.floats(1 / 32, 2.0), rows=st.integers(7, 20), head=st.sampled_from(HEADS))
@settings(max_examples=40, deadline=None)
def test_a_turn_the_other_way_is_the_mirror_image(turns: float, rows: int, head: Head) -> None:
    """Every head is its own mirror image, so the whole picture is."""
    there = draw_turn(turns, head, rows, FULL)
    back = draw_turn(-turns, head, rows, FULL)
    assert there == [line[::-1] for line in back]


@pytest.mark.parametrize("rows", [8, 12, 16])
def test_more_of_the_ring_is_inked_for_a_larger_turn(rows: int) -> None:
    inked = [sum(_dots(draw_turn(turns, "knob", rows, FULL))) for turns in (1 / 16, 1 / 4, 1 / 2, 3 / 4, 1.0)]
    assert inked == sorted(set(inked))


def _dots(lines: list[str]) -> list[int]:
    return [sum({"█": 2, "▀": 1, "▄": 1}.get(c, 0) for c in line) for line in lines]


def test_a_quarter_turn_clockwise_ends_at_the_right() -> None:
    """The thick arc lies in the upper right quarter, and nowhere at the left but for the dots."""
    lines = draw_turn(0.25, "knob", 12, FULL)
    upper = lines[:6]
    left = sum(_dots([line[:12] for line in upper]))
    right = sum(_dots([line[12:] for line in upper]))
    assert right > left * 1.4


def test_heads_differ_in_shape() -> None:
    drawn = {head: tuple(draw_turn(0.25, head, 12, FULL)) for head in HEADS}
    assert len(set(drawn.values())) == len(HEADS)


@pytest.mark.parametrize("marks", [FULL, PLAIN])
def test_the_picture_has_the_size_it_is_asked_for(marks: object) -> None:
    lines = draw_turn(0.25, "hex", 9, marks)  # type: ignore[arg-type]
    assert [len(line) for line in lines] == [18] * 9
    if marks is PLAIN:
        assert "".join(lines).isascii()
