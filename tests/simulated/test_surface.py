"""The surface: heights, warmth, and beds with few or odd supports."""

from __future__ import annotations

import numpy as np
import pytest

from drivers.simulated.found import RIGID_N_MM, Found
from drivers.simulated.surface import Surface
from profiles.machine import Bed


def plain(supports, bow_mm_per_k=0.0):
    """A bed without any shape of its own."""
    count = len(supports)
    return Found(
        (0.0,) * count,
        0.0,
        (0.5,) * count,
        0.0,
        (RIGID_N_MM,) * count,
        np.zeros(45),
        np.empty((0, 4)),
        bow_mm_per_k,
    )


def square(material="aluminium", thick=3.0):
    return Bed(size_mm=(220.0, 220.0), material=material, thickness_mm=thick)


CORNERS = [(0.0, 0.0), (220.0, 0.0), (220.0, 220.0), (0.0, 220.0)]
THREE = [(20.0, 20.0), (200.0, 20.0), (110.0, 200.0)]


def test_a_place_beside_the_plate_has_no_surface():
    surface = Surface(square(), THREE, plain(THREE))
    assert surface.height(221.0, 110.0, [0.0] * 3, 0.0) == -np.inf


@pytest.mark.parametrize(
    "supports",
    [[], [(110.0, 110.0)], [(0.0, 0.0), (220.0, 0.0)], [(0.0, 0.0), (110.0, 110.0), (220.0, 220.0)]],
)
def test_where_the_named_supports_carry_no_plate_the_frame_holds_the_rest(supports):
    surface = Surface(square(), supports, plain(supports))
    lifts = [1.0] * len(surface.supports)
    assert surface.supports[: len(supports)] == tuple(supports)
    still = surface.height(110.0, 110.0, [0.0] * len(lifts), 0.0)
    assert surface.height(110.0, 110.0, lifts, 0.0) == pytest.approx(still + 1.0, abs=1e-6)


def test_three_good_supports_need_no_help():
    assert Surface(square(), THREE, plain(THREE)).supports == tuple(THREE)


def test_a_plate_on_three_supports_follows_them_as_a_plane():
    surface = Surface(square(), THREE, plain(THREE))

    def plane(x, y):
        return 0.1 + 0.001 * x - 0.002 * y

    still = surface.height(180.0, 150.0, [0.0] * 3, 0.0)
    lifted = surface.height(180.0, 150.0, [plane(*at) for at in THREE], 0.0)
    assert lifted - still == pytest.approx(plane(180.0, 150.0), abs=1e-6)


def test_a_warm_free_plate_bends_to_a_bowl_of_alpha_times_the_difference_over_thickness():
    """1/R = alpha dT / h: 3 mm aluminium, 1 K between the faces, corner 0.0952 and mid-edge 0.0476 mm."""
    film = 10.0
    through_k_per_k = film * 3e-3 / 167.0
    warmer = 1.0 / through_k_per_k
    middle = [(90.0, 90.0), (130.0, 90.0), (110.0, 130.0)]
    surface = Surface(square(), middle, plain(middle))

    def bent(dx, dy):
        """How far two places on either side of the centre rise above it: without the tilt."""
        rises = [
            surface.height(110.0 + side * dx, 110.0 + side * dy, [0.0] * 3, warmer)
            - surface.height(110.0 + side * dx, 110.0 + side * dy, [0.0] * 3, 0.0)
            for side in (-1, 0, 1)
        ]
        return (rises[0] + rises[2]) / 2.0 - rises[1]

    assert bent(110.0, 110.0) == pytest.approx(0.0952, abs=1e-4)
    assert bent(110.0, 0.0) == pytest.approx(0.0476, abs=5e-5)


def test_a_plate_grows_in_thickness_with_warmth():
    """3 mm of aluminium over 40 K: 0.0028 mm."""
    surface = Surface(square(), CORNERS, plain(CORNERS))
    grown = surface.height(0.0, 0.0, [0.0] * 4, 40.0) - surface.height(0.0, 0.0, [0.0] * 4, 0.0)
    assert grown == pytest.approx(0.0028 + 0.0040, abs=1e-4)


def test_heights_at_supports_are_those_of_the_surface_there():
    surface = Surface(square(), THREE, plain(THREE))
    lifts = [0.1, -0.2, 0.3]
    there = [surface.height(*at, lifts, 20.0) for at in THREE]
    assert surface.heights_at_supports(lifts, 20.0) == pytest.approx(there, abs=1e-9)


def test_a_round_bed_is_measured_from_its_centre():
    bed = Bed(shape="round", diameter_mm=200.0, origin_mm=(0.0, 0.0), thickness_mm=3.0)
    rim = [(95.0, 0.0), (-47.5, 82.0), (-47.5, -82.0)]
    surface = Surface(bed, rim, plain(rim))
    assert surface.height(0.0, 0.0, [1.0] * 3, 0.0) == pytest.approx(1.0, abs=0.03)
    assert surface.height(80.0, 80.0, [1.0] * 3, 0.0) == -np.inf
