"""What a pad tells of the gap."""

from __future__ import annotations

import math
from itertools import pairwise

import msgspec
import pytest

from profiles.load import load
from wizard.printing.judging import (
    LOOK_SHARES,
    TOOL_U_MM,
    as_measured,
    averaged,
    by_look,
    by_thickness,
    closing_mm,
    closing_u_mm,
)
from wizard.solver.brackets import seen

FOUR = load("four-corner-220")


@pytest.mark.parametrize(("how", "u_mm"), [("caliper", 0.02), ("micrometer", 0.005)])
def test_a_thickness_is_a_bracket_with_the_tools_standard_uncertainty(how, u_mm):
    """Source: JCGM 100, 4.3.7: half width a has the standard uncertainty a / sqrt(3)."""
    reading = by_thickness(FOUR, 0.16, how)
    assert (reading.low_mm + reading.high_mm) / 2 == pytest.approx(0.16)
    assert (reading.high_mm - reading.low_mm) / 2 / math.sqrt(3.0) == pytest.approx(u_mm)
    assert TOOL_U_MM[how] == u_mm
    assert seen(reading).u == pytest.approx(math.hypot(u_mm, 0.005))


def test_a_pad_as_thick_as_a_free_strand_only_tells_that_the_gap_is_wide():
    """A strand of 0.44 x 0.20 mm2 is 0.335 mm thick where nothing presses it (conservation of volume)."""
    reading = by_thickness(FOUR, 0.33, "micrometer")
    assert reading.high_mm is None
    assert reading.low_mm == pytest.approx(0.9 * 2 * math.sqrt(0.088 / math.pi) - math.sqrt(3.0) * 0.005)


@pytest.mark.parametrize(
    ("look", "gap_mm"), [(1, 0.30), (2, 0.20), (3, 0.15), (4, 0.10), (5, 0.04), (5, 0.0)]
)
def test_each_look_holds_the_gap_that_common_practice_gives_it(look, gap_mm):
    """Common practice, no source: 0.15 mm is right for a layer of 0.20 mm; wider the lines stay apart, at
    twice that they do not stick; at two thirds they are ridged, at a third they are scraped."""
    reading = by_look(FOUR, look)
    assert reading.low_mm is None or reading.low_mm <= gap_mm
    assert reading.high_mm is None or gap_mm <= reading.high_mm


def test_the_looks_cover_every_gap_without_a_hole():
    shares = [LOOK_SHARES[look] for look in (5, 4, 3, 2, 1)]
    assert shares[0][0] is None
    assert shares[-1][1] is None
    for narrow, wide in pairwise(shares):
        assert wide[0] < narrow[1]


def test_a_reading_of_a_print_is_brought_to_measuring_height_and_warmth():
    """Source: brass of 17 mm, 20.5e-6 per kelvin, warmed by 185 K grows by 0.0645 mm."""
    heat = msgspec.structs.replace(FOUR.heat, hot_length_mm=17.0)
    layer = msgspec.structs.replace(FOUR.first_layer, measuring_height_mm=0.5)
    machine = msgspec.structs.replace(FOUR, heat=heat, first_layer=layer)
    grown_mm = 17.0 * 20.5e-6 * 185.0
    assert closing_mm(machine, 60.0, 205.0) == pytest.approx(grown_mm)
    reading = as_measured(machine, by_thickness(machine, 0.15, "caliper"), 60.0, 205.0)
    assert (reading.low_mm + reading.high_mm) / 2 == pytest.approx(0.15 + 0.3 + grown_mm)


def test_a_growth_that_nobody_knows_is_uncertain_and_a_known_one_less_so():
    known = msgspec.structs.replace(FOUR, heat=msgspec.structs.replace(FOUR.heat, hot_length_mm=17.0))
    assert closing_u_mm(FOUR, 60.0, 205.0) == pytest.approx(0.05)
    assert 0.0 < closing_u_mm(known, 60.0, 205.0) < 0.02
    hot = msgspec.structs.replace(FOUR, heat=msgspec.structs.replace(FOUR.heat, nozzle_c=205.0))
    assert closing_u_mm(hot, 60.0, 205.0) == 0.0


def test_measuring_a_pad_again_makes_it_surer_by_the_root_of_how_often():
    """Source: JCGM 100, 4.2.3: the mean of n independent measurements has u / sqrt(n)."""
    first, second = by_thickness(FOUR, 0.14, "caliper"), by_thickness(FOUR, 0.18, "caliper")
    twice = averaged(first, second)
    assert (twice.low_mm + twice.high_mm) / 2 == pytest.approx(0.16)
    assert (twice.high_mm - twice.low_mm) / 2 / math.sqrt(3.0) == pytest.approx(0.02 / math.sqrt(2.0))
    thrice = averaged(twice, by_thickness(FOUR, 0.19, "caliper"))
    assert (thrice.low_mm + thrice.high_mm) / 2 == pytest.approx(0.17)
    assert (thrice.high_mm - thrice.low_mm) / 2 / math.sqrt(3.0) == pytest.approx(0.02 / math.sqrt(3.0))


def test_an_open_reading_has_no_mean():
    assert averaged(by_look(FOUR, 1), by_thickness(FOUR, 0.15, "caliper")) is None
