"""What the simulated plastic does, held to conservation of volume and to common practice."""

from __future__ import annotations

import math

import pytest

from drivers.simulated.operator import STEADY, Hand, Operator
from drivers.simulated.plastic import TEXTURE_SD_MM, Plastic
from drivers.simulated.plate import Plate
from drivers.simulated.printer import BareNozzle
from profiles.load import load

SECTION = math.pi * 1.75**2 / 4.0
AT = (100.0, 100.0)


class Flat:
    """A plate that leaves the same gap everywhere at Z 0.2."""

    def __init__(self, gap_mm: float) -> None:
        self.gap_mm = gap_mm

    def gap_at(self, x: float, y: float, z: float) -> float:
        return self.gap_mm + z - 0.2


def pad(
    gap_mm: float, seed: int = 1, spacing: float = 0.4 * 0.2 / 0.15, section: float = 0.4 * 0.2
) -> Plastic:
    """Lines 0.40 x 0.20 mm by volume, 14 mm long, so far apart that they meet at a gap of 0.15 mm."""
    plastic = Plastic(seed, 1.75)
    for nth in range(-13, 14):
        y = AT[1] + nth * spacing
        filament = 14.0 * section / SECTION
        plastic.lay(Flat(gap_mm), (AT[0] - 7.0, y, 0.2), (AT[0] + 7.0, y, 0.2), filament)
    return plastic


def test_what_lies_about_the_middle_is_the_volume_that_went_in():
    """Source: conservation of volume: section of a line over their distance is volume over area."""
    sample = pad(0.15).sample(AT)
    assert sample.per_area_mm == pytest.approx(0.08 / (0.08 / 0.15), rel=0.05)
    assert sample.gap_mm == pytest.approx(0.15)
    assert math.pi * sample.strand_mm**2 / 4 == pytest.approx(0.08, rel=1e-6)


@pytest.mark.parametrize("gap_mm", [0.10, 0.15, 0.20, 0.25, 0.30])
def test_a_pressed_pad_is_about_as_thick_as_the_gap(gap_mm):
    thick = pad(gap_mm).thick_mm(AT)
    assert thick == pytest.approx(gap_mm, abs=0.012 + 3 * TEXTURE_SD_MM)


def test_a_pad_that_nothing_presses_is_as_thick_as_a_free_strand():
    """Source: conservation of volume: a round strand of 0.08 mm2 is 0.319 mm thick."""
    for gap_mm in (0.35, 0.6, 1.0):
        assert pad(gap_mm).thick_mm(AT) == pytest.approx(0.319, abs=4 * TEXTURE_SD_MM)


@pytest.mark.parametrize(
    ("gap_mm", "look"), [(0.5, 1), (0.32, 1), (0.2, 2), (0.15, 3), (0.1, 4), (0.05, 5), (0.01, 5), (-0.05, 5)]
)
def test_common_practice_holds(gap_mm, look):
    """Common practice, no source: a layer of 0.20 mm is right at a gap of 0.15 mm; too far it does not
    stick; too close the filament is ground and nothing is left in the middle."""
    assert pad(gap_mm).look(AT) == look


def test_a_blocked_nozzle_leaves_nothing_to_measure():
    assert pad(0.0).thick_mm(AT) is None
    assert Plastic(1, 1.75).thick_mm(AT) is None
    assert Plastic(1, 1.75).look(AT) is None


def test_the_same_pad_is_the_same_until_it_is_wiped_and_laid_anew():
    plastic = pad(0.15)
    first = plastic.thick_mm(AT)
    assert plastic.thick_mm(AT) == first
    lines = list(plastic.lines)
    plastic.wipe()
    assert plastic.thick_mm(AT) is None
    plastic.lines += lines
    assert plastic.thick_mm(AT) != first


def test_pads_vary_by_their_texture():
    thick = [pad(0.2, seed).thick_mm(AT) for seed in range(200)]
    mean = sum(thick) / 200
    assert mean == pytest.approx(0.2, abs=4 * TEXTURE_SD_MM / math.sqrt(200))
    assert math.sqrt(sum((t - mean) ** 2 for t in thick) / 199) == pytest.approx(TEXTURE_SD_MM, rel=0.2)


@pytest.fixture
def operator():
    plate = Plate(load("four-corner-220"), seed=3)
    plate.plastic = pad(0.15)
    return Operator(BareNozzle(plate), 1, STEADY)


def test_a_steady_hand_reads_the_pad_to_the_tools_last_digit(operator):
    true_mm = operator._at.plate.plastic.thick_mm(AT)
    assert operator.pad_thickness(AT, "caliper") == round(true_mm, 2)
    assert operator.pad_thickness(AT, "micrometer") == round(true_mm, 3)
    assert operator.pad_look(AT) == 3
    assert operator.pad_thickness((10.0, 10.0), "caliper") is None


def test_a_hand_with_a_caliper_errs_by_its_own_spread(operator):
    operator.hand = Hand()
    true_mm = operator._at.plate.plastic.thick_mm(AT)
    off = [operator.pad_thickness(AT, "caliper") - true_mm for _ in range(400)]
    assert sum(off) / 400 == pytest.approx(0.0, abs=0.004)
    assert math.sqrt(sum(each**2 for each in off) / 400) == pytest.approx(0.02, rel=0.15)


def test_a_cleared_plate_has_no_pad(operator):
    operator.clear_plate()
    assert operator.pad_look(AT) is None
