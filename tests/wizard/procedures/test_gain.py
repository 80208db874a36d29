"""Where no setting is good enough, a turn is only offered for a gain that shows."""

from __future__ import annotations

import pytest

from profiles.load import load
from wizard.procedures.gain import is_worth_turning
from wizard.solver.finding import Finding, PointFinding, Status

FOUR = load("four-corner-220")


def finding(now_mm: float, then_mm: float, status: Status = "not-by-adjusters") -> Finding:
    """Return a finding whose centre is off by `now_mm`, and would be by `then_mm` after its turns."""
    wanted_mm = FOUR.wanted_gap_mm
    centre = PointFinding(wanted_mm + now_mm, 0.01, now_mm, wanted_mm + then_mm)
    return Finding("outside", status, turns={"front left": 0.25}, points={"centre": centre})


@pytest.mark.parametrize(
    ("now_mm", "then_mm", "worth"),
    [(0.40, 0.15, True), (0.16, 0.15, False), (-0.16, 0.15, False), (0.15, 0.16, False)],
)
def test_only_a_gain_of_half_the_tolerance_is_worth_a_hand(
    now_mm: float, then_mm: float, worth: bool
) -> None:
    assert is_worth_turning(finding(now_mm, then_mm), FOUR) is worth


def test_what_can_come_within_is_left_to_the_solver() -> None:
    assert is_worth_turning(finding(0.06, 0.05, "turn"), FOUR)
    assert is_worth_turning(Finding("undecided", "not-by-adjusters"), FOUR)
