"""What a touch is worth: comparisons with a gauge put together, and what no number of touches lessens."""

from __future__ import annotations

import pytest

from profiles.load import load
from wizard.procedures.touch_worth import OWN_MM, Touching
from wizard.rounds import Reading, Round
from wizard.solver import solve

POINTS = [point.name for point in load("touch-probe-255").point]


def touched(gap_mm: float, common_u_mm: float) -> Round:
    return Round(
        {name: Reading(gap_mm - 0.004, gap_mm + 0.004, "probe") for name in POINTS}, common_u_mm=common_u_mm
    )


def test_two_comparisons_count_by_their_certainty() -> None:
    """The weighted mean of two values, u of the mean 1/sqrt(sum of 1/u^2): JCGM 100, 5.1."""
    both = Touching(0.003, 0.040, 0.010).joined(Touching(0.003, 0.030, 0.020))
    assert both.offset_mm == pytest.approx(0.038)
    assert both.offset_u_mm == pytest.approx(0.00894, abs=1e-4)


def test_a_comparison_that_cannot_be_true_beside_the_older_takes_its_place() -> None:
    """Something has come between: plastic on the tip, another nozzle."""
    assert Touching(0.003, 0.040, 0.008).joined(Touching(0.003, 0.140, 0.008)).offset_mm == 0.140


def test_the_same_card_again_does_not_make_the_card_better() -> None:
    one = Touching(0.003, 0.040, 0.006)
    for _ in range(20):
        one = one.joined(Touching(0.003, 0.040, 0.006))
    assert one.offset_u_mm == OWN_MM


@pytest.mark.parametrize("rounds", [1, 2, 5])
def test_what_all_touches_share_is_not_lessened_by_more_of_them(rounds: int) -> None:
    """However many points and passes: each gap is known no better than the offset."""
    finding = solve(load("touch-probe-255"), [touched(0.2, 0.01)] * rounds)
    assert min(point.u_mm for point in finding.points.values()) >= 0.01
    alone = solve(load("touch-probe-255"), [touched(0.2, 0.0)] * rounds)
    assert max(point.u_mm for point in alone.points.values()) < 0.01
