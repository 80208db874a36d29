"""A free square plate on four equal corner springs: what raising one spring's foot does.

Statics of a rigid plate plus the twist, of which r = k/(k + k_p) arrives, k_p = 4 G h^3/(3 a^2): formula
after Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959 (from memory), checked
against a finite-element model; plate 220 x 220 x 3 mm, aluminium (E 69 GPa, nu 0.33).
"""

from __future__ import annotations

import numpy as np
import pytest

from wizard.solver.influence import bend_influence, plane_influence

CORNERS = np.array([[0.0, 0.0], [220.0, 0.0], [220.0, 220.0], [0.0, 220.0]])
BOX = np.array([[0.0, 0.0], [220.0, 220.0]])
K_PLATE = 4.0 * (69_000.0 / (2.0 * 1.33)) * 3.0**3 / (3.0 * 220.0**2)

# spring N/mm: r, same corner, neighbours, opposite (finite elements and formula, all digits)
TABLE = {
    1: (0.0493, 0.76232, 0.23768, -0.23768),
    2: (0.0939, 0.77348, 0.22652, -0.22652),
    5: (0.2058, 0.80145, 0.19855, -0.19855),
    10: (0.3414, 0.83534, 0.16466, -0.16466),
    50: (0.7216, 0.93039, 0.06961, -0.06961),
    1000: (0.9811, 0.99527, 0.00473, -0.00473),
}


def test_the_plates_own_stiffness_in_twist():
    assert pytest.approx(19.2941, abs=1e-4) == K_PLATE


@pytest.mark.parametrize("spring", TABLE)
def test_corners_follow_as_the_table_says(spring: int):
    share, same, neighbour, opposite = TABLE[spring]
    r = spring / (spring + K_PLATE)
    assert r == pytest.approx(share, abs=5e-5)
    moved = plane_influence(CORNERS, CORNERS) + r * bend_influence(CORNERS, CORNERS, BOX)
    assert moved[0] == pytest.approx([same, neighbour, opposite, neighbour], abs=6e-6)


def test_the_middle_rises_by_a_quarter_whatever_the_springs():
    middle = np.array([[110.0, 110.0]])
    assert plane_influence(middle, CORNERS)[0] == pytest.approx([0.25] * 4)
    assert bend_influence(middle, CORNERS, BOX)[0] == pytest.approx([0.0] * 4, abs=1e-9)


def test_four_forced_corners_give_the_bilinear_saddle_exactly():
    """Kirchhoff plate under corner forces: w = c x y."""
    places = np.random.default_rng(1).uniform(0.0, 220.0, (40, 2))
    shape = bend_influence(places, CORNERS, BOX) @ np.array([1.0, -1.0, 1.0, -1.0])
    uv = places / 110.0 - 1.0
    assert shape == pytest.approx(uv[:, 0] * uv[:, 1], abs=1e-9)
