"""Rounds in, finding out."""

from __future__ import annotations

import pytest

from profiles.machine import Adjuster, Height
from wizard.rounds import Reading, Round
from wizard.solver import expect, solve

NAMES = ("front left", "front right", "back left", "back right")


def read(*gaps: float, width: float = 0.02) -> dict[str, Reading]:
    return {n: Reading(g - width / 2, g + width / 2, "feel") for n, g in zip(NAMES, gaps, strict=True)}


def test_before_any_reading_the_target_is_expected_with_millimetres_of_doubt(machine):
    for gap, u in expect(machine(), []).values():
        assert gap == pytest.approx(0.15)
        assert u > 1.0


def test_a_level_bed_is_level(machine):
    finding = solve(machine(), [Round(read(0.15, 0.16, 0.15, 0.14))])
    assert (finding.verdict, finding.status, finding.turns) == ("within", "level", {})


def test_a_low_corner_is_raised_by_its_own_screw_against_the_clock(machine):
    finding = solve(machine(), [Round(read(0.15, 0.15, 0.15, 0.40))])
    assert finding.verdict == "outside"
    assert finding.status == "turn"
    # 0.25 mm by a 0.5 mm thread (ISO 261, M3): half a turn, counter-clockwise because clockwise lowers.
    assert finding.turns["back right"] == pytest.approx(-0.5, abs=0.0625)


def test_turns_are_whole_steps(machine):
    finding = solve(machine(), [Round(read(0.11, 0.37, 0.29, 0.22))])
    for turns in finding.turns.values():
        assert turns / 0.0625 == pytest.approx(round(turns / 0.0625))


def test_after_the_turns_the_expected_gap_is_where_the_turns_bring_it(machine):
    first = Round(read(0.15, 0.15, 0.15, 0.40))
    finding = solve(machine(), [first])
    rounds = [Round(first.readings, finding.turns)]
    for name, (gap, u) in expect(machine(), rounds).items():
        assert gap == pytest.approx(finding.points[name].predicted_mm, abs=1e-9)
        assert 0.005 < u < 0.05


def test_a_round_teaches_what_a_turn_really_does(machine):
    rounds = [
        Round(read(0.55, 0.55, 0.55, 0.55), dict.fromkeys(NAMES, -0.5)),
        Round(read(0.33, 0.33, 0.33, 0.33)),
    ]
    learned = solve(machine(), rounds).learned["front left"]
    # 0.22 mm for half a turn is 0.44 mm; the prior of 0.5 mm and a hand that errs hold against it.
    assert -0.485 < learned.mm_per_turn < -0.44
    assert learned.u < 0.026


def test_an_open_reading_gives_a_coarse_turn_that_cannot_reach_the_nozzle(machine):
    finding = solve(machine(), [Round(dict.fromkeys(NAMES, Reading(1.0, None, "leaf")))])
    assert finding.status == "turn"
    assert finding.coarse
    for turns in finding.turns.values():
        assert -2.0 < turns < -1.0  # raises, and by less than the 1.0 mm that is known to be free


def test_a_plate_too_high_is_lowered(machine):
    finding = solve(machine(), [Round(dict.fromkeys(NAMES, Reading(None, 0.05, "leaf")))])
    assert finding.status == "turn"
    assert finding.coarse
    assert all(turns > 0.0 for turns in finding.turns.values())


def test_two_points_do_not_determine_a_plane(machine):
    finding = solve(machine(), [Round({"front left": Reading(0.1, 0.2), "back right": Reading(0.1, 0.2)})])
    assert finding.status == "underdetermined"
    assert {one.point for one in finding.ask} >= {"front right", "back left"}


def test_where_the_height_is_apart_only_the_spread_is_turned_away(machine):
    apart = machine(height=Height(by="stored offset", set_command="M1"))
    finding = solve(apart, [Round(read(0.65, 0.65, 0.65, 0.65))])
    assert finding.turns == {}
    assert finding.status == "turn"
    assert finding.height_change_mm == pytest.approx(-0.5, abs=0.01)


def test_a_height_change_is_an_exactly_known_raise(machine):
    gaps = expect(machine(), [Round(read(0.15, 0.15, 0.15, 0.15), height_change_mm=0.1)])
    assert gaps["front left"][0] == pytest.approx(0.25, abs=0.001)


def test_an_unknown_direction_is_learnt_from_the_first_turn(machine):
    adjusters = tuple(
        Adjuster(name=a.name, at_mm=a.at_mm, thread="M3", clockwise="unknown") for a in machine().adjuster
    )
    unknown = machine(adjuster=adjusters)
    rounds = [
        Round(read(0.40, 0.40, 0.40, 0.40), dict.fromkeys(NAMES, -0.25)),
        Round(read(0.53, 0.52, 0.52, 0.53)),
    ]
    learned = solve(unknown, rounds).learned
    assert all(one.mm_per_turn == pytest.approx(0.5, abs=0.05) for one in learned.values())
