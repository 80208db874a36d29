"""Growth by warmth against published examples; the sources stand beside each."""

from __future__ import annotations

import pytest

from profiles.expansion import bowed_mm, grown_mm, plate_ppm_per_k


def test_a_bridge_of_steel_grows_as_the_textbook_says() -> None:
    """OpenStax College Physics, example 13.3: 1275 m, from -15 to 40 degrees C, 12e-6 per K: 0.84 m."""
    assert grown_mm(1275e3, 12.0, -15.0, 40.0) / 1000.0 == pytest.approx(0.84, abs=0.005)


@pytest.mark.parametrize(
    ("material", "grown"),
    [("aluminium 6061", 0.2077), ("borosilicate glass", 0.0290), ("float glass", 0.0792), ("brass", 0.1804)],
)
def test_lengths_of_a_plate_grow_by_handbook_coefficients(material: str, grown: float) -> None:
    """220 mm by 40 K: alpha 23.6, 3.3 (ISO 3585), 9.0 (EN 572-1), 20.5 (C36000), each 1e-6 per K."""
    ppm = plate_ppm_per_k(material)
    assert ppm is not None
    assert grown_mm(220.0, ppm, 20.0, 60.0) == pytest.approx(grown, abs=5e-5)


def test_zero_degrees_stand_for_room_temperature() -> None:
    """20 degrees C, the standard reference temperature (ISO 1)."""
    assert grown_mm(18.0, 20.5, 0.0, 200.0) == grown_mm(18.0, 20.5, 20.0, 200.0)


def test_a_plate_warmer_below_bends_to_a_sphere() -> None:
    """1 K through 3 mm of aluminium over 220 mm lifts the mid-edge by 0.0476 mm (curvature alpha dT / h)."""
    assert bowed_mm(220.0, 3.0, 23.6, 1.0) == pytest.approx(0.0476, abs=5e-5)


def test_an_unknown_material_has_no_coefficient() -> None:
    assert plate_ppm_per_k("unobtainium") is None
