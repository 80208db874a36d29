"""Closed forms for the plane over symmetric points: algebra, no source needed."""

from __future__ import annotations

import numpy as np
import pytest

from wizard.solver.influence import plane_influence
from wizard.solver.leastsquares import least_squares

L = 80.0
GRID = np.array([[x, y] for y in (-L, 0.0, L) for x in (-L, 0.0, L)])
CORNERS = np.array([[-L, -L], [L, -L], [L, L], [-L, L]])


def test_slopes_and_mean_on_three_by_three_points():
    z = np.random.default_rng(3).normal(size=9)
    fit = least_squares(np.column_stack([np.ones(9), GRID]), z)
    assert fit.solution == pytest.approx([z.mean(), *(GRID.T @ z) / (6.0 * L**2)])
    assert np.sqrt(np.diagonal(fit.covariance)) == pytest.approx([1 / 3, *[1 / (L * np.sqrt(6.0))] * 2])


def test_leverages_on_three_by_three_points():
    hat = plane_influence(GRID, GRID)
    assert np.diagonal(hat).reshape(3, 3) == pytest.approx(
        np.array([[4 / 9, 5 / 18, 4 / 9], [5 / 18, 1 / 9, 5 / 18], [4 / 9, 5 / 18, 4 / 9]])
    )
    assert np.trace(hat) == pytest.approx(3.0)


def test_a_rigid_plate_on_four_corners_moves_by_three_quarters_where_it_is_raised():
    hat = plane_influence(CORNERS, CORNERS)
    assert hat[0] == pytest.approx([0.75, 0.25, -0.25, 0.25])
