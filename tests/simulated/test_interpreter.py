"""What blocks do: motion, heaters, reports, refusals."""

from __future__ import annotations

import pytest

from drivers.simulated.heaters import ROOM_C
from profiles.machine import Heat

READY = ("G21", "G90", "G28", "G0 Z5 F600")


def place(talk):
    line = talk.do("M400", "M114")[-2]
    return tuple(float(word.split(":")[1]) for word in line.split()[:3])


def test_it_says_that_it_is_simulated_and_which_machine_it_plays(talk):
    line, ok = talk.send("M115")
    assert ok == "ok"
    assert "SIMULATED" in line
    assert "Test rig" in line


def test_moves_go_to_absolute_places_and_an_axis_without_a_word_stays(talk):
    talk.do(*READY, "G0 X30 Y40 F6000", "G1 Z1.25 F300")
    assert place(talk) == (30.0, 40.0, 1.25)
    assert talk.printer.nozzle_mm() == pytest.approx((30.0, 40.0, 1.25))


def test_relative_moves_add_up_and_inches_are_25_4_millimetres(talk):
    talk.do(*READY, "G91", "G0 X10", "G0 X10", "G20", "G0 Y1", "G90", "G0 Z1")
    assert place(talk) == (20.0, 25.4, 25.4)


def test_the_present_place_can_be_called_by_other_numbers(talk):
    """NISTIR 6556, 3.5.18: at X = 4, after `G92 x7` the present place reads 7."""
    talk.do(*READY, "G0 X4", "M400", "G92 X7")
    assert place(talk)[0] == 7.0
    talk.do("G0 X9")
    assert talk.do("M400", "M114")[-2].startswith("X:9.00")
    assert talk.printer.nozzle_mm()[0] == pytest.approx(6.0)


def test_a_feed_stays_until_another_is_given_and_sets_how_long_a_move_takes(talk):
    talk.do(*READY, "G0 X0 Y0 F6000", "M400", "G1 X100 F600")
    talk.send("M400")
    assert "ok" not in talk.wait(9.9)
    assert "ok" in talk.wait(0.3)
    talk.do("G1 X50")
    talk.send("M400")
    assert "ok" not in talk.wait(4.9)
    assert "ok" in talk.wait(0.3)


@pytest.mark.parametrize("block", ["G1 X10 F0", "G1 X10 F-5"])
def test_a_feed_of_nothing_is_refused(talk, block):
    assert talk.do(*READY, block)[-2:] == ["Error: feed must be more than 0", "ok"]


@pytest.mark.parametrize("block", ["G0 X220.1", "G0 X-0.1", "G0 Y500", "G1 Z-0.01", "G0 Z241", "G0 X10 Y-1"])
def test_a_move_outside_the_limits_is_refused_recorded_and_not_made(talk, block):
    talk.do(*READY, "M400")
    before = talk.printer.nozzle_mm()
    said = talk.do(block)
    assert said[0].startswith("Error: move outside the limits: ")
    assert said[-1] == "ok"
    talk.wait(30.0)
    assert talk.printer.nozzle_mm() == before
    assert [violation.kind for violation in talk.printer.record.violations] == ["out-of-limits"]


@pytest.mark.parametrize(
    ("block", "seconds"), [("G4 P1500", 1.5), ("G4 S3", 3.0), ("G4", 0.0), ("G4 S-2", 0.0)]
)
def test_a_dwell_waits_milliseconds_by_p_and_seconds_by_s(talk, block, seconds):
    said = talk.send(block)
    if seconds:
        assert said == []
        assert "ok" not in talk.wait(seconds - 0.01)
        said = talk.wait(0.02)
    assert said[-1] == "ok"


def test_setting_a_target_does_not_wait(talk):
    assert talk.send("M104 S200", "M140 S60") == ["ok", "ok"]
    talk.wait(60.0)
    assert talk.send("M105")[0].startswith("ok T:")
    assert "/200.0 B:" in talk.send("M105")[0]
    assert talk.send("M105")[0].endswith("/60.0")


def test_waiting_by_s_does_not_wait_for_cooling_but_by_r_it_does(talk):
    talk.do("M109 S200")
    assert talk.send("M109 S60") == ["ok"]
    assert talk.send("M109 R50") == []
    assert talk.wait(2000.0)[-1] == "ok"
    assert talk.firmware.interpreter.nozzle.at(talk.now) == pytest.approx(50.0, abs=0.6)


@pytest.mark.parametrize("block", ["M104 S261", "M140 S111", "M190 S111", "M104 S-1", "M104", "M109"])
def test_a_target_outside_the_machine_s_limits_is_refused(talk, block):
    said = talk.send(block)
    assert said[0].startswith("Error: ")
    assert said[1:] == ["ok"]
    talk.wait(100.0)
    assert talk.firmware.interpreter.nozzle.at(talk.now) == ROOM_C


def test_a_machine_without_a_heated_plate_refuses_to_heat_it(talk_to, make_machine):
    talk = talk_to(make_machine(heat=Heat(max_bed_c=0.0)))
    assert talk.send("M140 S50")[0].startswith("Error: ")
    assert talk.send("M140 S0") == ["ok"]


def test_the_plate_s_shape_follows_its_heater_slowly(talk):
    talk.do("M190 S60")
    assert talk.printer.plate.bed_c < 59.0
    talk.wait(600.0)
    assert talk.printer.plate.bed_c == pytest.approx(60.0, abs=0.1)


def test_motors_off_forgets_the_position(talk):
    talk.do(*READY, "M84", "G0 X50")
    assert [violation.kind for violation in talk.printer.record.violations] == ["before-homing"]


def test_blocks_carried_out_are_counted_by_their_code(talk):
    talk.do(*READY, "M105", "M105", "M999")
    assert talk.printer.record.blocks["M105"] == 2
    assert "M999" not in talk.printer.record.blocks
