"""The best lattice setting, proven against brute force and against a mixed-integer solver."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from wizard.solver.lattice import Problem, best, nearby


def _random(seed: int, points: int, screws: int, common_free: bool, reach: int, bow: float = 0.05) -> Problem:
    rng = np.random.default_rng(seed)
    effect = rng.normal(0.0, 0.03, (points, screws))
    wanted = rng.integers(-reach, reach + 1, screws)
    offsets = -effect @ wanted + rng.normal(0.0, bow, points)
    return Problem(
        offsets, effect, np.full(screws, -float(reach)), np.full(screws, float(reach)), common_free
    )


def _brute(problem: Problem) -> float:
    ranges = [np.arange(a, b + 1.0) for a, b in zip(problem.low, problem.high, strict=True)]
    everything = np.array(list(itertools.product(*ranges)))
    return float(problem.values(everything).min())


@pytest.mark.parametrize("common_free", [False, True])
@pytest.mark.parametrize("screws", [1, 2, 3, 4])
@pytest.mark.parametrize("points", [3, 5, 9])
def test_no_setting_of_all_is_better(points: int, screws: int, common_free: bool):
    for seed in range(6):
        problem = _random(seed, points, screws, common_free, reach=5)
        chosen = best(problem)
        assert chosen.proven
        assert chosen.value == pytest.approx(_brute(problem), abs=1e-12)
        assert problem.values(chosen.steps[None])[0] == pytest.approx(chosen.value, abs=1e-15)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.integers(1, 6), st.integers(1, 3), st.booleans())
def test_any_small_problem_is_solved_as_by_trying_all(seed: int, points: int, screws: int, common_free: bool):
    rng = np.random.default_rng(seed)
    # Whole numbers make ties, zero columns and equal rows frequent.
    effect = rng.integers(-2, 3, (points, screws)).astype(float)
    offsets = rng.integers(-9, 10, points).astype(float)
    low, high = -rng.integers(0, 4, screws).astype(float), rng.integers(0, 4, screws).astype(float)
    problem = Problem(offsets, effect, low, high, common_free)
    assert best(problem).value == pytest.approx(_brute(problem), abs=1e-9)


def _by_milp(problem: Problem) -> float:
    """min t with -t <= d + B s (+ c) <= t; s whole, c free where a height is free."""
    n, m = problem.effect.shape
    free = int(problem.common_free)
    columns = np.column_stack([problem.effect, *([np.ones(n)] if free else [])])
    upper = LinearConstraint(np.column_stack([columns, -np.ones(n)]), -np.inf, -problem.offsets)
    lower = LinearConstraint(np.column_stack([columns, np.ones(n)]), -problem.offsets, np.inf)
    low = np.concatenate([problem.low, [-np.inf] * free, [0.0]])
    high = np.concatenate([problem.high, [np.inf] * free, [np.inf]])
    found = milp(
        np.eye(m + free + 1)[-1],
        constraints=[upper, lower],
        integrality=np.array([1] * m + [0] * (free + 1)),
        bounds=Bounds(low, high),
        options={"mip_rel_gap": 0.0},
    )
    assert found.success
    return float(found.fun)


@pytest.mark.parametrize("common_free", [False, True])
@pytest.mark.parametrize(("points", "screws"), [(5, 4), (9, 4), (9, 6), (25, 6)])
def test_a_mixed_integer_solver_finds_nothing_better(points: int, screws: int, common_free: bool):
    for seed in range(4):
        problem = _random(seed, points, screws, common_free, reach=64)
        chosen = best(problem)
        assert chosen.proven
        assert chosen.value == pytest.approx(_by_milp(problem), abs=2e-6)  # the other solver's own tolerance


def test_of_equal_settings_the_fewest_adjusters_are_moved_and_the_least():
    effect = np.array([[1.0, 1.0, 0.0], [0.0, 0.0, 1.0]])
    problem = Problem(np.array([-2.0, 0.0]), effect, np.full(3, -5.0), np.full(3, 5.0))
    chosen = best(problem)
    assert sorted(np.abs(chosen.steps)) == [0.0, 0.0, 2.0]


def test_a_setting_as_good_within_the_slack_is_taken_if_it_moves_less():
    problem = Problem(np.array([-0.0011, 0.0]), np.eye(2) * 0.001, np.full(2, -5.0), np.full(2, 5.0))
    assert best(problem).steps.tolist() == [1.0, 0.0]
    assert best(problem, slack=0.002).steps.tolist() == [0.0, 0.0]


def test_travel_is_kept():
    problem = Problem(np.array([-1.0, -0.2]), np.eye(2) * 0.1, np.array([0.0, -3.0]), np.array([4.0, 0.0]))
    assert best(problem).steps.tolist() == [4.0, 0.0]


def test_a_free_height_is_not_used_to_gain_a_hundredth_by_many_turns_of_all():
    """Pitches learned a few hundredths apart would make a fine scale of turning all screws together."""
    at = np.array([[-1.0, -1.0, 1.0], [1.0, -1.0, 1.0], [1.0, 1.0, 1.0], [-1.0, 1.0, 1.0], [0.0, 0.0, 1.0]])
    screws = np.linalg.inv(np.array([[-0.8, -0.8, 1.0], [0.8, -0.8, 1.0], [0.0, 0.8, 1.0]]))
    for seed in range(20):
        rng = np.random.default_rng(seed)
        effect = at @ screws * 0.022 * rng.uniform(0.95, 1.05, 3)
        tilt = rng.integers(-3, 4, 3)
        offsets = at @ screws @ (tilt * 0.022) + rng.normal(0.0, 0.01, 5)
        steps = nearby(Problem(offsets, effect, np.full(3, -90.0), np.full(3, 90.0), common_free=True))
        assert np.abs(steps).max() <= 2.0 * np.ptp(tilt) + 1.0
