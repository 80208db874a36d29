"""Least largest deviation, against linear programming."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from wizard.solver.minimax import minimax


def by_linprog(offsets: np.ndarray, columns: np.ndarray) -> float:
    n, p = columns.shape
    a = np.vstack([np.column_stack([columns, -np.ones(n)]), np.column_stack([-columns, -np.ones(n)])])
    found = linprog(
        np.eye(p + 1)[-1],
        A_ub=a,
        b_ub=np.concatenate([-offsets, offsets]),
        bounds=[(None, None)] * p + [(0, None)],
        method="highs",
        options={"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10},
    )
    assert found.success
    return float(found.fun)


@pytest.mark.parametrize("points", [3, 4, 5, 9, 16, 25, 60])
@pytest.mark.parametrize("columns", [1, 2, 3, 4, 6])
def test_the_value_is_that_of_linear_programming(points: int, columns: int):
    for seed in range(4):
        rng = np.random.default_rng(seed)
        offsets, matrix = rng.normal(0.0, 0.1, points), rng.normal(0.0, 1.0, (points, columns))
        best = minimax(offsets, matrix)
        assert best.value == pytest.approx(by_linprog(offsets, matrix), abs=1e-9)


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 100_000), st.integers(1, 12), st.integers(0, 4))
def test_the_parameters_reach_the_value_also_with_ties_and_lost_rank(seed: int, points: int, columns: int):
    rng = np.random.default_rng(seed)
    offsets = rng.integers(-3, 4, points).astype(float)
    matrix = rng.integers(-1, 2, (points, columns)).astype(float)
    best = minimax(offsets, matrix)
    reached = float(np.abs(offsets + matrix @ best.at).max())
    assert reached == pytest.approx(best.value, abs=1e-9)
    assert best.value == pytest.approx(by_linprog(offsets, matrix), abs=1e-9)
