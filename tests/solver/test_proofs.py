"""Points that only prove: when they count."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.load import load
from profiles.machine import Machine
from wizard.rounds import Reading, Round
from wizard.solver import solve

FOUR = load("four-corner-220")
BY = tuple(point.name for point in FOUR.levelling_points)
ONLY = tuple(point.name for point in FOUR.point if point.only)
MAKERS: list[Callable[[], Machine]] = [lambda: load("four-corner-220"), lambda: load("endstop-screw-120")]


def about(gap_mm: float) -> Reading:
    return Reading(gap_mm - 0.01, gap_mm + 0.01, "feel")


@pytest.mark.parametrize("make", MAKERS)
@given(gaps=st.lists(st.floats(0.02, 0.5), min_size=5, max_size=5))
@settings(max_examples=15, deadline=None)
def test_unread_they_change_nothing(make: Callable[[], Machine], gaps: list[float]) -> None:
    """Whatever the others are, the finding is that of the same machine without them."""
    machine = make()
    fewer = msgspec.structs.replace(machine, point=machine.levelling_points)
    read = Round({point.name: about(gap) for point, gap in zip(fewer.point, gaps, strict=True)})
    assert solve(machine, [read]) == solve(fewer, [read])


def test_read_they_count_as_any_other() -> None:
    right = {name: about(0.15) for name in (*BY, *ONLY)}
    assert solve(FOUR, [Round(right)]).verdict == "within"
    assert solve(FOUR, [Round({**right, ONLY[0]: about(0.25)})]).verdict == "outside"


def test_one_that_was_read_once_is_foretold_after_a_turn() -> None:
    """A turn at one corner raises the middle of its edges by half, as far as they have no other support."""
    left = about(0.30)
    first = Round({**{name: about(0.15) for name in (*BY, *ONLY)}, "front left": left}, {"front left": -0.25})
    finding = solve(FOUR, [first])
    change = finding.points["front middle"].gap_mm - 0.15
    assert change == pytest.approx(-0.25 * 0.5 / 2.0, abs=0.03)
    assert (
        finding.points["front middle"].u_mm > solve(FOUR, [Round(first.readings)]).points["front middle"].u_mm
    )


@given(gaps=st.lists(st.floats(0.08, 0.24), min_size=8, max_size=8))
@settings(max_examples=15, deadline=None)
def test_they_are_not_asked_for_before_all_others_are_within(gaps: list[float]) -> None:
    """Having been read before the last turn, they wait until the others show that it was right."""
    whole = {p.name: about(gap) for p, gap in zip(FOUR.point, gaps, strict=True)}
    turned = solve(FOUR, [Round(whole)]).turns
    after = solve(FOUR, [Round(whole, turned)])
    reach = [abs(after.points[name].deviation_mm) + 2.0 * after.points[name].u_mm for name in BY]
    if turned and np.max(reach) > 0.05 and after.verdict == "undecided":
        assert not {one.point for one in after.ask} & set(ONLY)
