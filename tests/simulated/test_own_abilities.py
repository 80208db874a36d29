"""A grid that the simulated machine follows, and motors that move its plate."""

from __future__ import annotations

import re

import pytest

from profiles.load import load


@pytest.fixture
def nine(talk_to):
    """Talk to the machine that keeps nine numbers."""
    return talk_to(load("stored-offset-140"))


def test_the_nozzle_follows_the_grid_once_it_is_switched_on(nine):
    plate = nine.printer.plate
    before = plate.gap_at(70.0, 70.0, 0.2)
    assert nine.send("M174 X1 Y1 Z0.1") == ["ok"]
    assert plate.gap_at(70.0, 70.0, 0.2) == pytest.approx(before)
    assert nine.send("M175 S1") == ["ok"]
    assert plate.gap_at(70.0, 70.0, 0.2) == pytest.approx(before + 0.1)


def test_the_grid_is_left_once_it_is_switched_off(nine):
    before = nine.printer.plate.gap_at(70.0, 70.0, 0.2)
    nine.send("M174 X1 Y1 Z0.1", "M175 S1", "M175 S0")
    assert nine.printer.plate.gap_at(70.0, 70.0, 0.2) == pytest.approx(before)


def test_half_way_to_the_next_place_it_is_raised_by_half(nine):
    before = nine.printer.plate.gap_at(45.0, 70.0, 0.2)
    nine.send("M174 X1 Y1 Z0.1", "M175 S1")
    assert nine.printer.plate.gap_at(45.0, 70.0, 0.2) == pytest.approx(before + 0.05)


def test_the_grid_is_told_row_by_row(nine):
    nine.send("M174 X2 Y0 Z0.1", "M174 X0 Y2 Z-0.2")
    told = nine.send("M176")
    pattern = load("stored-offset-140").compensation.reply
    numbers = [float(found["offset_mm"]) for line in told if (found := re.search(pattern, line))]
    assert numbers == [0.0, 0.0, 0.1, 0.0, 0.0, 0.0, -0.2, 0.0, 0.0]


def test_a_place_that_the_grid_has_not_is_refused(nine):
    assert nine.send("M174 X3 Y0 Z0.1")[0].startswith("Error: ")


def test_after_a_restart_the_grid_is_kept_but_not_followed(nine):
    before = nine.printer.plate.gap_at(70.0, 70.0, 0.2)
    nine.send("M174 X1 Y1 Z0.1", "M175 S1")
    nine.firmware.restart()
    assert nine.printer.plate.gap_at(70.0, 70.0, 0.2) == pytest.approx(before)


def test_a_motor_moves_the_plate_at_its_support_after_homing(talk_to):
    talk = talk_to(load("motor-levelled-300"))
    assert talk.send("M178 C0.2")[0].startswith("Error: ")
    talk.do("G28", "M400")
    before = talk.printer.plate.height_at(150.0, 270.0)
    talk.do("M178 C0.2")
    assert talk.printer.plate.height_at(150.0, 270.0) > before + 0.1
