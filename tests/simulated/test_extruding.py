"""Blocks that move filament, on the simulated machine."""

from __future__ import annotations

import math

import pytest

HOT = ("G21", "G90", "M109 S205", "G28", "G0 Z5 F600", "G0 X100 Y100 F6000", "G1 Z0.2 F600")


def laid(talk):
    talk.do("M400")
    return talk.printer.plate.plastic.lines


def test_filament_that_goes_in_comes_out_along_the_way(talk):
    talk.do(*HOT, "M83", "G1 X110 E0.5 F1200")
    (line,) = laid(talk)
    assert line.start_mm == (100.0, 100.0)
    assert line.end_mm == (110.0, 100.0)
    assert line.volume_mm3 == pytest.approx(0.5 * math.pi * 1.75**2 / 4)
    assert line.gap_mm == pytest.approx(talk.printer.plate.gap_at(105.0, 100.0, 0.2), abs=0.002)


def test_relative_and_absolute_filament_and_a_number_called_anew(talk):
    talk.do(*HOT, "M82", "G1 X110 E2 F1200", "G1 X120 E2.5", "G92 E0", "G1 X130 E0.4")
    talk.do("M83", "G1 X140 E0.3", "G1 X150 E0.2")
    section = math.pi * 1.75**2 / 4
    assert [round(line.volume_mm3 / section, 6) for line in laid(talk)] == [2.0, 0.5, 0.4, 0.3, 0.2]


def test_a_line_at_layer_height_is_no_low_move_but_one_without_plastic_is(talk):
    talk.do(*HOT, "M83", "G1 X110 E0.5 F1200")
    assert laid(talk)
    kinds = [violation.kind for violation in talk.printer.record.violations]
    assert "low-sideways" not in kinds
    talk.do("G1 X120 F1200", "M400")
    assert talk.printer.record.of_kind("low-sideways")


def test_cold_filament_is_recorded_and_nothing_comes_out(talk):
    talk.do(*HOT[:2], *HOT[3:], "M83", "G1 X110 E0.5 F1200", "G1 E-1 F1800")
    assert laid(talk) == []
    assert len(talk.printer.record.of_kind("cold-extrusion")) == 2


def test_drawing_back_takes_its_time_and_lays_nothing_down(talk):
    talk.do(*HOT, "M83", "M400", "G1 E-2 F60")
    talk.send("M400")
    assert "ok" not in talk.wait(1.9)
    assert "ok" in talk.wait(0.3)
    assert laid(talk) == []
