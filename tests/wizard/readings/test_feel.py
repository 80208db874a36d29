"""How one card's feel narrows what is known of a gap."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wizard.readings import DRAG_MM, narrow
from wizard.rounds import Reading


def test_a_drag_tells_both_sides() -> None:
    """A card that drags stands in a gap of its own thickness, less how far the nozzle was up."""
    known = narrow(None, "drag", 0.10, 0.30)
    assert (known.low_mm, known.high_mm) == pytest.approx((-0.20 - DRAG_MM, -0.20 + DRAG_MM))


@given(
    gap=st.floats(-0.5, 1.0),
    ups=st.lists(st.floats(-0.4, 1.0), min_size=1, max_size=12),
)
def test_true_answers_keep_the_gap_in_the_bracket(gap: float, ups: list[float]) -> None:
    """Whatever heights are felt, truthful answers never shut the true gap out."""
    known: Reading | None = None
    for up in ups:
        over = gap + up - 0.10
        touch = "drag" if abs(over) <= DRAG_MM else "free" if over > 0 else "tight"
        known = narrow(known, touch, 0.10, up)
    assert known is not None
    assert known.low_mm is None or known.low_mm <= gap + 1e-9
    assert known.high_mm is None or gap - 1e-9 <= known.high_mm


def test_the_newer_answer_wins_where_two_contradict() -> None:
    """Free where it was tight before: the hand was surer the second time."""
    tight = narrow(None, "tight", 0.10, 0.0)
    assert narrow(tight, "free", 0.10, 0.0) == Reading(0.10 + DRAG_MM, None, "feel")
