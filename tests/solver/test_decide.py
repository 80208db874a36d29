"""What comes next."""

from __future__ import annotations

import numpy as np
import pytest

from profiles.machine import Adjuster, FirstLayer, Gauge, Height, Motion, Point
from wizard.rounds import Reading, Round
from wizard.solver import expect, priors, solve

NAMES = ("front left", "front right", "back left", "back right")
NINE = {
    f"{r}{c}": (x, y)
    for r, y in zip("fmb", (30.0, 110.0, 190.0), strict=True)
    for c, x in zip("lmr", (30.0, 110.0, 190.0), strict=True)
}


def near(gap: float, width: float = 0.02) -> Reading:
    return Reading(gap - width / 2, gap + width / 2, "feel")


@pytest.fixture
def nine(machine):
    return machine(point=tuple(Point(name=n, at_mm=at) for n, at in NINE.items()))


def bowed(height: float) -> dict[str, Reading]:
    out = {}
    for name, (x, y) in NINE.items():
        u, v = (x - 110.0) / 80.0, (y - 110.0) / 80.0
        out[name] = near(0.15 + height * (u * u + v * v) / 2.0)
    return out


def test_a_bow_that_no_screw_can_remove_is_told_in_the_first_round(nine):
    finding = solve(nine, [Round(bowed(0.20))])
    assert finding.status == "not-by-adjusters"
    # The best setting halves the bow: 0.10 mm over the tolerance of 0.05 mm.
    assert finding.best_possible_mm == pytest.approx(0.10, abs=0.005)
    assert finding.shape is not None
    assert finding.shape.bow_mm == pytest.approx(0.20, abs=0.01)
    assert finding.shape.flatness_minimum_zone_mm == pytest.approx(0.20, abs=0.01)


def test_a_small_bow_is_split_by_the_screws(nine):
    finding = solve(nine, [Round(bowed(0.06))])
    worst = max(abs(p.predicted_mm - 0.15) for p in finding.points.values())
    assert worst < 0.05


def test_out_of_travel_comes_with_a_way_out(machine):
    adjusters = tuple(
        Adjuster(name=a.name, at_mm=a.at_mm, thread="M3", clockwise="lowers", travel_turns=(-0.25, 2.0))
        for a in machine().adjuster
    )
    gaps = dict(zip(NAMES, map(near, (0.15, 0.15, 0.15, 0.45)), strict=True))
    finding = solve(machine(adjuster=adjusters), [Round(gaps)])
    assert finding.status == "out-of-travel"
    way = finding.way_out
    assert way is not None
    assert way.worst_mm < 0.05
    # The one that is too low can rise by 0.125 mm only: the others go down, and the nozzle after them.
    assert way.turns.get("back right", 0.0) <= 0.0 < min(way.turns[n] for n in NAMES[:3])
    assert way.nozzle_mm < -0.1


def test_a_tolerance_that_step_and_gauge_cannot_prove_is_told_before_the_first_reading(machine):
    by_hand = Motion(link="hand", x_mm=(0.0, 220.0), y_mm=(0.0, 220.0), z_mm=(0.0, 200.0))
    tight = machine(
        motion=by_hand,
        gauge=Gauge(leaves_mm=(0.1, 0.2, 0.3)),
        first_layer=FirstLayer(height_mm=0.2, gap_mm=0.15, tolerance_mm=0.03),
    )
    limits = solve(tight, []).limits
    assert limits is not None
    assert limits.reading_mm == pytest.approx(
        2.0 * np.hypot(0.1 / np.sqrt(12.0), np.hypot(priors.HAND_MM["leaf"], priors.HOME_MM)), abs=1e-4
    )
    assert 0.010 < limits.step_mm < 0.016  # half a sixteenth of 0.5 mm at the most
    assert solve(machine(), []).limits is None


def test_a_reading_with_low_above_high_is_asked_for_again(machine):
    gaps = {n: near(0.15) for n in NAMES[:2]} | {"back left": Reading(0.3, 0.1)}
    finding = solve(machine(), [Round(gaps)])
    assert finding.status == "inconsistent"
    assert "back left" in {ask.point for ask in finding.ask}


def test_points_not_read_are_asked_for_first(machine):
    gaps = {n: near(0.19) for n in NAMES[:3]}
    finding = solve(machine(), [Round(gaps)])
    assert finding.status == "measure-again"
    assert finding.ask[0].point == "back right"


def test_within_needs_the_uncertainty_inside_the_tolerance_too(machine):
    gap = 0.15 + 0.042
    coarse = solve(machine(), [Round(dict.fromkeys(NAMES, near(gap, 0.05)))])
    assert coarse.verdict == "undecided"
    fine = solve(machine(), [Round(dict.fromkeys(NAMES, near(0.15 + 0.026)))])
    assert fine.verdict == "within"
    out = solve(machine(), [Round(dict.fromkeys(NAMES, near(0.15 + 0.08)))])
    assert out.verdict == "outside"


def test_shims_go_one_way_and_by_whole_sheets(machine):
    sheets = tuple(
        Adjuster(
            name=a.name,
            at_mm=a.at_mm,
            kind="shim",
            mm_per_turn=0.05,
            clockwise="raises",
            travel_turns=(0.0, 10.0),
        )
        for a in machine().adjuster
    )
    apart = machine(adjuster=sheets, height=Height(by="endstop screw"))
    finding = solve(apart, [Round(dict(zip(NAMES, map(near, (0.15, 0.15, 0.15, 0.27)), strict=True)))])
    assert finding.status == "turn"
    assert all(t > 0 and t == int(t) for t in finding.turns.values())
    assert finding.turns["back right"] == 2.0


def test_a_fixed_support_is_never_turned_but_carries(machine):
    corners = machine().adjuster
    fixed = Adjuster(name="front left", at_mm=corners[0].at_mm, kind="fixed")
    finding = solve(
        machine(adjuster=(fixed, *corners[1:])),
        [Round(dict(zip(NAMES, map(near, (0.15, 0.15, 0.15, 0.40)), strict=True)))],
    )
    assert set(finding.turns) <= set(NAMES[1:])
    assert finding.turns["back right"] < -0.3


def test_motors_are_set_in_their_own_fine_steps(machine):
    motors = tuple(
        Adjuster(
            name=n,
            at_mm=at,
            kind="motor",
            mm_per_turn=4.0,
            clockwise="raises",
            step_turns=0.00125,
            travel_turns=(-2, 2),
        )
        for n, at in {"a": (-20.0, 30.0), "b": (240.0, 30.0), "c": (110.0, 250.0)}.items()
    )
    finding = solve(
        machine(adjuster=motors), [Round(dict(zip(NAMES, map(near, (0.2, 0.3, 0.25, 0.35)), strict=True)))]
    )
    assert max(abs(p.predicted_mm - 0.15) for p in finding.points.values()) < 0.006
    assert all(abs(t / 0.00125 - round(t / 0.00125)) < 1e-6 for t in finding.turns.values())


def test_while_a_direction_is_unknown_the_expectation_covers_both(machine):
    unknown = tuple(
        Adjuster(name=a.name, at_mm=a.at_mm, thread="M3", clockwise="unknown") for a in machine().adjuster
    )
    rounds = [Round(dict.fromkeys(NAMES, near(0.5)), dict.fromkeys(NAMES, -0.5))]
    gap, u = expect(machine(adjuster=unknown), rounds)["front left"]
    assert abs(gap - 0.25) <= 2.0 * u
    assert abs(gap - 0.75) <= 2.0 * u
