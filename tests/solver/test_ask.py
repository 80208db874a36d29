"""Which point to read next."""

from __future__ import annotations

import pytest

from profiles.machine import Gauge, Point
from wizard.rounds import Reading, Round
from wizard.solver import solve

NAMES = ("front left", "front right", "back left", "back right")


def near(gap: float, width: float = 0.02) -> Reading:
    return Reading(gap - width / 2, gap + width / 2, "feel")


def test_before_any_reading_every_corner_is_asked_for(machine):
    assert {ask.point for ask in solve(machine(), []).ask} >= set(NAMES)


def test_the_first_question_is_where_least_is_known(machine):
    finding = solve(machine(), [Round({n: near(0.19) for n in NAMES[:3]})])
    assert finding.ask[0].point == "back right"


def test_nothing_is_asked_where_all_is_proven(machine):
    assert solve(machine(), [Round(dict.fromkeys(NAMES, near(0.15)))]).ask == ()


def test_a_point_that_the_others_foretell_is_not_asked_for(machine):
    """A point between two that were read, on a stiff plate: its gap lies between theirs."""
    points = (*machine().point, Point(name="by the front left", at_mm=(36.0, 30.0)))
    finding = solve(machine(point=points), [Round(dict.fromkeys(NAMES, near(0.155)))])
    assert finding.verdict == "within"
    assert finding.points["by the front left"].u_mm < 0.0225
    assert finding.ask == ()


def test_only_the_points_in_doubt_are_asked_for_again(machine):
    gaps = dict.fromkeys(NAMES, near(0.15)) | {"back left": near(0.188)}
    finding = solve(machine(), [Round(gaps)])
    assert finding.verdict == "undecided"
    # One more reading elsewhere narrows the home shift that all share; not all of them are asked for.
    assert finding.ask[0].point == "back left"
    assert len(finding.ask) < 4


@pytest.mark.parametrize(("gap", "leaf"), [(0.19, 0.15), (0.31, 0.30), (0.02, 0.05)])
def test_the_leaf_to_start_with_is_the_thickest_that_should_slide(machine, gap, leaf):
    gauge = Gauge(leaves_mm=(0.05, 0.10, 0.15, 0.20, 0.25, 0.30))
    finding = solve(machine(gauge=gauge), [Round(dict.fromkeys(NAMES, near(gap, 0.05)))])
    assert {ask.leaf_mm for ask in finding.ask} <= {leaf}
