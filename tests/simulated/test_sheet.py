"""The elastic sheet against published values.

Values for 220 x 220 x 3 mm aluminium, E 69 GPa, nu 0.33: independent finite elements (Argyris and
Morley, scikit-fem 12.0.2), as tabled in the project's references; formulas from Timoshenko and
Woinowsky-Krieger, Theory of Plates and Shells, 2nd edition (from memory).
"""

from __future__ import annotations

import numpy as np
import pytest

from drivers.simulated.materials import ALUMINIUM, Material
from drivers.simulated.sheet import Outline, arm_row, respond, row, term

SIDE, THICK = 220.0, 3.0
SQUARE = Outline(SIDE / 2, SIDE / 2)
CORNERS = [(SIDE / 2 * u, SIDE / 2 * v) for u, v in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
RIGID = 1e7


def at(places, coefficients, outline=SQUARE):
    return np.array([row(outline, *place) for place in places]) @ coefficients


def test_bending_stiffness_and_weight_of_the_plate_are_those_of_the_textbook_formulas():
    assert ALUMINIUM.bending_stiffness(THICK) == pytest.approx(174_222.9, abs=0.05)
    assert ALUMINIUM.weight_n_mm2(THICK) * SIDE**2 == pytest.approx(3.846, abs=5e-4)


def test_a_plate_on_its_corners_sags_in_the_middle_by_the_finite_element_value():
    sag = at([(0, 0)], respond(SQUARE, ALUMINIUM, THICK, CORNERS, [RIGID] * 4).by_weight)[0]
    assert sag == pytest.approx(-0.0272, abs=5e-5)


@pytest.mark.parametrize(
    ("nu", "centre", "mid_edge"),
    [(0.25, 0.025669, 0.017458), (0.30, 0.025506, 0.017747), (0.33, 0.025468, 0.017977)],
)
def test_sag_on_four_corners_has_the_coefficients_of_the_finite_element_table(nu, centre, mid_edge):
    material = Material(69_000.0, nu, 2700e-9, 0.0, 1.0)
    scale = material.weight_n_mm2(THICK) * SIDE**4 / material.bending_stiffness(THICK)
    weight = respond(SQUARE, material, THICK, CORNERS, [1e9] * 4).by_weight
    sags = -at([(0, 0), (SIDE / 2, 0)], weight) / scale
    assert sags == pytest.approx([centre, mid_edge], abs=1e-5)  # cut off at degree 8: 6e-6 at the edge


@pytest.mark.parametrize(
    ("inset", "spread"), [(13.75, 0.0181), (27.5, 0.0102), (55.0, 0.0021)], ids=lambda value: f"{value}"
)
def test_supports_set_in_from_the_edge_leave_the_tabled_spread_of_sag(inset, spread):
    half = SIDE / 2 - inset
    places = [(half * np.sign(x), half * np.sign(y)) for x, y in CORNERS]
    weight = respond(SQUARE, ALUMINIUM, THICK, places, [RIGID] * 4).by_weight
    line = np.linspace(-SIDE / 2, SIDE / 2, 23)
    sags = at([(x, y) for x in line for y in line], weight)
    assert np.ptp(sags) == pytest.approx(spread, abs=1e-4)


def test_a_twist_forced_at_the_corners_is_exactly_the_saddle_c_x_y():
    twist = respond(SQUARE, ALUMINIUM, THICK, CORNERS, [RIGID] * 4).by_support @ [1.0, -1.0, 1.0, -1.0]
    corner = at([CORNERS[0]], twist)[0]
    line = np.linspace(-SIDE / 2, SIDE / 2, 7)
    places = [(x, y) for x in line for y in line]
    saddle = [corner * x * y / (SIDE / 2) ** 2 for x, y in places]
    assert at(places, twist) == pytest.approx(saddle, abs=1e-9)


def test_the_twist_stiffness_at_a_corner_is_19_29_newtons_a_millimetre():
    spring = 7.0
    follows = respond(SQUARE, ALUMINIUM, THICK, CORNERS, [spring] * 4).by_support
    twisted = at([CORNERS[0]], follows @ [1.0, -1.0, 1.0, -1.0])[0]
    assert spring * (1.0 - twisted) / twisted == pytest.approx(19.2941, abs=1e-3)


@pytest.mark.parametrize(
    ("spring", "same", "beside"),
    [
        (1, 0.76232, 0.23768),
        (2, 0.77348, 0.22652),
        (5, 0.80145, 0.19855),
        (10, 0.83534, 0.16466),
        (50, 0.93039, 0.06961),
        (1000, 0.99527, 0.00473),
    ],
)
def test_one_screw_moves_the_corners_by_three_quarters_and_a_quarter_of_what_springs_pass_on(
    spring, same, beside
):
    follows = respond(SQUARE, ALUMINIUM, THICK, CORNERS, [float(spring)] * 4).by_support
    moved = at([*CORNERS, (0, 0)], follows[:, 0])
    assert moved == pytest.approx([same, beside, -beside, beside, 0.25], abs=6e-6)


def test_the_sum_of_spring_forces_is_the_weight():
    spring = [1.0, 2.0, 5.0, 3.0, 4.0]
    places = [*CORNERS, (10.0, -20.0)]
    weight = respond(SQUARE, ALUMINIUM, THICK, places, spring).by_weight
    forces = [-k * row(SQUARE, *place) @ weight for k, place in zip(spring, places, strict=True)]
    assert sum(forces) == pytest.approx(3.846, abs=5e-4)


def test_supports_raised_along_a_plane_tilt_the_plate_and_bend_nothing():
    places = [(-80.0, -70.0), (90.0, -60.0), (0.0, 100.0), (20.0, 0.0), (-50.0, 40.0)]
    follows = respond(SQUARE, ALUMINIUM, THICK, places, [3.0, RIGID, 8.0, 2.0, 40.0]).by_support

    def plane(x, y):
        return 0.3 + 0.002 * x - 0.001 * y

    tilted = follows @ [plane(*place) for place in places]
    assert at(CORNERS, tilted) == pytest.approx([plane(*corner) for corner in CORNERS], abs=1e-8)


def test_a_free_shape_that_is_only_bent_is_forced_flat_where_held_and_kept_on_three_supports():
    shape = np.zeros(45)
    shape[term(1, 1)] = 0.1
    held = respond(SQUARE, ALUMINIUM, THICK, CORNERS, [RIGID] * 4).by_shape @ shape
    free = respond(SQUARE, ALUMINIUM, THICK, CORNERS[:3], [RIGID] * 3).by_shape @ shape
    assert at(CORNERS, held) == pytest.approx([0.0] * 4, abs=1e-5)
    a, b, c, d = at(CORNERS, free)
    assert a - b + c - d == pytest.approx(0.4, abs=1e-6)


def test_a_support_beside_the_plate_lifts_it_by_a_rigid_arm():
    shape = np.zeros(45)
    shape[term(0, 0)], shape[term(1, 0)] = 1.0, 0.5
    assert arm_row(SQUARE, 2 * SIDE / 2, 0.0) @ shape == pytest.approx(2.0)


def test_a_disc_on_three_rim_supports_sags_alike_whichever_way_it_is_turned():
    disc = Outline(100.0, 100.0, round=True)

    def sag(turned):
        angles = turned + 2 * np.pi / 3 * np.arange(3)
        rim = [(100 * np.cos(angle), 100 * np.sin(angle)) for angle in angles]
        return at([(0, 0)], respond(disc, ALUMINIUM, THICK, rim, [RIGID] * 3).by_weight, disc)[0]

    assert sag(0.0) < 0.0
    assert sag(0.7) == pytest.approx(sag(0.0), rel=0.01)


def test_a_disc_weighs_what_its_area_weighs():
    disc = Outline(100.0, 100.0, round=True)
    weight = respond(disc, ALUMINIUM, THICK, [(90, 0), (-50, 70), (-50, -70)], [5.0] * 3).by_weight
    heights = at([(90, 0), (-50, 70), (-50, -70)], weight, disc)
    assert -5.0 * heights.sum() == pytest.approx(ALUMINIUM.weight_n_mm2(THICK) * np.pi * 100.0**2)


@pytest.mark.parametrize("outline", [SQUARE, Outline(110.0, 110.0, round=True)])
def test_what_is_on_the_plate_is_its_own_nearest_place(outline):
    assert outline.inside(60.0, -70.0)
    assert not outline.inside(120.0, 0.0)
    assert outline.nearest(60.0, -70.0) == (60.0, -70.0)
    assert outline.nearest(150.0, 0.0) == pytest.approx((110.0, 0.0))
