"""What the plate is like."""

from __future__ import annotations

import numpy as np
import pytest

from wizard.solver.shape import flatness, shape_of

GRID = np.array([[x, y] for y in (30.0, 110.0, 190.0) for x in (30.0, 110.0, 190.0)])
U, V = ((GRID - 110.0) / 80.0).T


def test_tilt_is_in_mm_per_m_and_rises_where_the_gap_gets_smaller():
    shape = shape_of(GRID, 0.15 - 0.002 * GRID[:, 0] + 0.001 * GRID[:, 1])
    assert shape is not None
    assert (shape.tilt_x_mm_per_m, shape.tilt_y_mm_per_m) == pytest.approx((2.0, -1.0))
    assert shape.flatness_minimum_zone_mm == pytest.approx(0.0, abs=1e-12)


def test_twist_and_bow_are_told_apart():
    shape = shape_of(GRID, 0.15 - (0.03 * U * V + 0.05 * (1.0 - (U**2 + V**2) / 2.0)))
    assert shape is not None
    assert (shape.twist_mm, shape.bow_mm) == pytest.approx((0.03, 0.05))


def test_four_corners_show_a_twist_but_no_bow():
    corners = GRID[[0, 2, 6, 8]]
    shape = shape_of(corners, np.array([0.10, 0.20, 0.20, 0.10]))
    assert shape is not None
    assert shape.twist_mm == pytest.approx(0.05)
    assert shape.bow_mm == 0.0
    assert shape.flatness_minimum_zone_mm == pytest.approx(0.10)


def test_fewer_than_three_points_have_no_shape():
    assert shape_of(GRID[:2], np.array([0.1, 0.2])) is None


def test_the_minimum_zone_is_never_more_than_from_the_least_squares_plane():
    rng = np.random.default_rng(7)
    for _ in range(50):
        form = flatness(GRID, rng.normal(0.0, 0.05, 9))
        assert form.zone <= form.total + 1e-12
        assert form.total == pytest.approx(form.peak + form.valley)
