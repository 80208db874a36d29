"""How points follow supports, for any number of supports."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wizard.solver.influence import bend_influence, gauss, plane_influence

BOX = np.array([[0.0, 0.0], [220.0, 220.0]])
ANYWHERE = np.random.default_rng(0).uniform(0.0, 220.0, (12, 2))


def test_one_support_carries_the_whole_plate():
    assert plane_influence(ANYWHERE, np.array([[40.0, 50.0]])) == pytest.approx(np.ones((12, 1)))


def test_between_two_supports_the_plate_tilts_along_their_line():
    ends = np.array([[10.0, 110.0], [210.0, 110.0]])
    middle = plane_influence(np.array([[110.0, 30.0], [10.0, 200.0]]), ends)
    assert middle == pytest.approx(np.array([[0.5, 0.5], [1.0, 0.0]]))


def test_three_supports_are_followed_exactly():
    supports = np.array([[30.0, 30.0], [190.0, 40.0], [100.0, 200.0]])
    assert plane_influence(supports, supports) == pytest.approx(np.eye(3))
    assert bend_influence(supports, supports, BOX) == pytest.approx(np.zeros((3, 3)))


def test_supports_on_one_line_are_no_plane_but_no_harm():
    line = np.array([[10.0, 110.0], [110.0, 110.0], [210.0, 110.0]])
    assert np.abs(plane_influence(ANYWHERE, line)).max() < 2.0


@pytest.mark.parametrize("count", range(4, 9))
def test_every_support_moves_its_own_place_and_no_others(count: int):
    angle = 2.0 * np.pi * np.arange(count) / count + 0.3
    supports = 110.0 + 80.0 * np.column_stack([np.cos(angle), np.sin(angle)])
    moved = plane_influence(supports, supports) + bend_influence(supports, supports, BOX)
    assert moved == pytest.approx(np.eye(count), abs=1e-6)


@pytest.mark.parametrize("round_plate", [False, True])
def test_bending_adds_nothing_to_raising_all_or_to_tilting(round_plate: bool):
    supports = np.array([[30.0, 30.0], [190.0, 30.0], [190.0, 190.0], [30.0, 190.0], [110.0, 30.0]])
    bend = bend_influence(ANYWHERE, supports, BOX, round_plate)
    for raised in (np.ones(5), supports[:, 0] / 100.0, supports[:, 1] / 100.0):
        assert bend @ raised == pytest.approx(np.zeros(12), abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.floats(0, 220), st.floats(0, 220)), min_size=1, max_size=8))
def test_any_supports_also_two_at_one_place_give_finite_figures(places):
    supports = np.array(places)
    assert np.isfinite(plane_influence(ANYWHERE, supports)).all()
    assert np.isfinite(bend_influence(ANYWHERE, supports, BOX)).all()
    whole = plane_influence(ANYWHERE, supports) @ np.ones(len(supports))
    assert whole == pytest.approx(np.ones(12), abs=1e-6)


@pytest.mark.parametrize("count", [1, 2, 6, 9])
def test_the_quadrature_is_that_of_numpy(count: int):
    knots, weights = np.polynomial.legendre.leggauss(count)
    assert gauss(count)[0] == pytest.approx(knots, abs=1e-12)
    assert gauss(count)[1] == pytest.approx(weights, abs=1e-12)
