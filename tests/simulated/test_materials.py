"""Plate materials by name.

Expansion of the product's sizes over 40 K, computed from the tabled coefficients: 220 mm of aluminium
6061 0.2077 mm, of soda-lime glass 0.0792 mm, of borosilicate 0.0290 mm.
"""

from __future__ import annotations

import pytest

from drivers.simulated.materials import ALUMINIUM, GLASS, STEEL, material_named


@pytest.mark.parametrize(
    ("name", "grown_mm"),
    [("aluminium", 0.2077), ("glass", 0.0792), ("borosilicate glass", 0.0290), ("Aluminium, cast", 0.2077)],
)
def test_220_mm_of_a_plate_grow_over_40_kelvin_by_the_tabled_amount(name, grown_mm):
    assert material_named(name).expansion_per_k * 220.0 * 40.0 == pytest.approx(grown_mm, abs=6e-5)


def test_a_name_that_is_not_known_counts_as_aluminium():
    assert material_named("unknown") is ALUMINIUM


def test_glass_weighs_less_than_aluminium_and_steel_more():
    weights = [material.weight_n_mm2(3.0) for material in (GLASS, ALUMINIUM, STEEL)]
    assert weights == sorted(weights)
