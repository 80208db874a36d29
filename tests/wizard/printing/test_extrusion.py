"""Filament by volume: section of the line times its length is section of the filament times its length."""

from __future__ import annotations

import math

import pytest

from profiles.machine import FirstLayer
from profiles.printed import Print
from wizard.printing.extrusion import filament_area_mm2, filament_mm, line_area_mm2, spacing_mm, strand_mm

LAYER = FirstLayer(height_mm=0.2, gap_mm=0.15, tolerance_mm=0.05)


@pytest.mark.parametrize(("diameter_mm", "area_mm2"), [(1.75, 2.405282), (2.85, 6.37940)])
def test_the_filaments_section_is_that_of_a_circle(diameter_mm, area_mm2):
    """Source: pi d^2 / 4, worked by hand for the two common diameters."""
    part = Print(nozzle_mm=0.4, line_width_mm=0.45, filament_mm=diameter_mm)
    assert filament_area_mm2(part) == pytest.approx(area_mm2, rel=1e-5)


@pytest.mark.parametrize(("width_mm", "per_100_mm"), [(0.45, 3.7418), (0.40, 3.3260)])
def test_a_line_takes_width_times_height_over_the_filaments_section(width_mm, per_100_mm):
    """Source: conservation of volume with a rectangular line, worked by hand for 100 mm at 0.20 mm."""
    part = Print(nozzle_mm=0.4, line_width_mm=width_mm)
    assert filament_mm(part, LAYER, 100.0) == pytest.approx(per_100_mm, abs=5e-5)


def test_the_flow_at_20_mm_a_second_is_volume_a_second():
    """Source: section times speed, 0.45 x 0.20 mm2 x 20 mm/s = 1.8 mm3/s."""
    assert line_area_mm2(Print(nozzle_mm=0.4, line_width_mm=0.45), LAYER) * 20.0 == pytest.approx(1.8)


@pytest.mark.parametrize(("gap_mm", "width_mm"), [(0.25, 0.320), (0.15, 0.5333)])
def test_a_nozzle_off_by_a_twentieth_makes_lines_a_fifth_narrower_or_a_third_wider(gap_mm, width_mm):
    """Source: conservation of volume, 0.40 x 0.20 mm2 pressed to another height."""
    part = Print(nozzle_mm=0.4, line_width_mm=0.4)
    assert line_area_mm2(part, LAYER) / gap_mm == pytest.approx(width_mm, abs=5e-5)


def test_lines_pressed_to_the_wanted_gap_just_meet():
    part = Print(nozzle_mm=0.4, line_width_mm=0.4)
    assert spacing_mm(part, LAYER) * LAYER.gap_mm == pytest.approx(line_area_mm2(part, LAYER))


def test_a_strand_that_nothing_presses_is_round():
    part = Print(nozzle_mm=0.4, line_width_mm=0.4)
    assert math.pi * strand_mm(part, LAYER) ** 2 / 4.0 == pytest.approx(0.08)
