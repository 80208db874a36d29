"""What went wrong is named; where nothing went wrong nothing is said."""

from __future__ import annotations

import numpy as np
import pytest

from wizard.rounds import Reading, Round
from wizard.solver import solve
from wizard.solver.layout import layout_of

NAMES = ("front left", "front right", "back left", "back right")
START = np.array([0.45, 0.60, 0.40, 0.55])
TURNS = {"front left": -0.625, "front right": -0.875, "back left": -0.5, "back right": -0.8125}


def reading(gap: float) -> Reading:
    return Reading(gap - 0.01, gap + 0.01, "feel")


def after(machine, really: dict[str, float], noise: np.ndarray | float = 0.0) -> np.ndarray:
    layout = layout_of(machine)
    made = np.array([really[n] for n in NAMES])
    return START - (layout.plane + 0.95 * layout.bend) @ (-0.5 * made) + noise


def rounds(machine, really, noise=0.0) -> list[Round]:
    first = dict(zip(NAMES, map(reading, START), strict=True))
    second = dict(zip(NAMES, map(reading, after(machine, really, noise)), strict=True))
    return [Round(first, TURNS), Round(second)]


@pytest.mark.parametrize("name", NAMES)
def test_a_turn_made_the_other_way_is_named(machine, name):
    found = solve(machine(), rounds(machine(), {**TURNS, name: -TURNS[name]})).suspicion
    assert found is not None
    assert (found.kind, found.adjuster) == ("turned-other-way", name)
    assert found.odds > 3.0


@pytest.mark.parametrize("name", NAMES)
def test_a_turn_not_made_is_named(machine, name):
    found = solve(machine(), rounds(machine(), {**TURNS, name: 0.0})).suspicion
    assert found is not None
    assert (found.kind, found.adjuster) == ("not-turned", name)


def test_two_adjusters_taken_for_each_other_are_named(machine):
    swapped = {**TURNS, "front right": TURNS["back left"], "back left": TURNS["front right"]}
    found = solve(machine(), rounds(machine(), swapped)).suspicion
    assert found is not None
    assert found.kind == "other-adjuster"
    assert found.adjuster in ("front right", "back left")


def test_all_turns_the_other_way_are_seen_as_one_mistake(machine):
    found = solve(machine(), rounds(machine(), {n: -t for n, t in TURNS.items()})).suspicion
    assert found is not None
    assert (found.kind, found.adjuster) == ("turned-other-way", None)


def test_a_home_position_that_shifted_is_named(machine):
    found = solve(machine(), rounds(machine(), TURNS, noise=0.15)).suspicion
    assert found is not None
    assert found.kind == "home-shifted"


def test_a_reading_that_slipped_between_two_passes_is_named(machine):
    m = machine()
    good = dict.fromkeys(NAMES, reading(0.15))
    found = solve(m, [Round(good), Round({**good, "back left": reading(0.28)})]).suspicion
    assert found is not None
    assert (found.kind, found.point) == ("reading-slipped", "back left")


def test_nothing_is_said_where_nothing_went_wrong(machine):
    m = machine()
    for seed in range(25):
        noise = np.random.default_rng(seed).normal(0.0, 0.008, 4)
        assert solve(m, rounds(m, TURNS, noise)).suspicion is None


def test_the_gaps_are_what_was_read_whatever_the_story(machine):
    m = machine()
    wrong = {**TURNS, "front right": 0.875}
    finding = solve(m, rounds(m, wrong))
    for name, gap in zip(NAMES, after(m, wrong), strict=True):
        assert finding.points[name].gap_mm == pytest.approx(gap, abs=0.02)
