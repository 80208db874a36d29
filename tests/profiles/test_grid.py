"""The grid of a software compensation."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest
from scipy.interpolate import RegularGridInterpolator

from profiles.grid import GridValue, filled, is_felt, nodes, raised_mm
from profiles.load import load
from profiles.machine import Machine


@pytest.fixture(scope="module")
def nine() -> Machine:
    return load("stored-offset-140")


def test_the_grid_spans_the_points_row_by_row_from_the_front_left(nine: Machine) -> None:
    grid = nodes(nine)
    assert [(one.column, one.row) for one in grid[:4]] == [(0, 0), (1, 0), (2, 0), (0, 1)]
    assert (grid[0].at_mm, grid[-1].at_mm) == ((20.0, 20.0), (120.0, 120.0))


def test_a_gauge_can_fill_it_where_each_place_is_a_point(nine: Machine) -> None:
    assert is_felt(nine)
    assert not is_felt(msgspec.structs.replace(nine, point=nine.point[:-1]))
    assert not is_felt(load("four-corner-220"))


def test_it_raises_the_nozzle_where_the_gap_is_narrow(nine: Machine) -> None:
    gaps = {point.name: 0.15 for point in nine.point} | {"centre": 0.05}
    values = {(one.column, one.row): one.offset_mm for one in filled(nine, gaps, 0.15)}
    assert values.pop((1, 1)) == pytest.approx(0.10)
    assert set(values.values()) == {0.0}


def test_between_its_places_it_is_bilinear(nine: Machine) -> None:
    """Against scipy's interpolator on a regular grid."""
    rng = np.random.default_rng(3)
    heights = rng.normal(0.0, 0.1, (3, 3))
    values = tuple(
        GridValue(one.column, one.row, one.at_mm, float(heights[one.column, one.row])) for one in nodes(nine)
    )
    part = nine.compensation
    assert part is not None
    reference = RegularGridInterpolator(([20.0, 70.0, 120.0], [20.0, 70.0, 120.0]), heights)
    for x, y in rng.uniform(20.0, 120.0, (50, 2)):
        assert raised_mm(values, part, (x, y)) == pytest.approx(float(reference((x, y))))
