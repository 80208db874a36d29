"""The axes: homing, unknown places, the frame, and what is recorded of careless moves."""

from __future__ import annotations

import pytest

from drivers.simulated import SimulatedPrinter
from drivers.simulated.moves import TOUCH_MM
from profiles.machine import Motion

READY = ("G28", "G0 Z5 F600")


def kinds(talk):
    return [violation.kind for violation in talk.printer.record.violations]


def test_before_homing_it_stands_somewhere_that_the_controller_does_not_know(talk):
    assert talk.send("M114")[0] == "X:0.00 Y:0.00 Z:0.000 E:0.00"
    x, y, z = talk.printer.nozzle_mm()
    assert (x, y) != (0.0, 0.0)
    assert z >= 10.0


def test_homing_takes_time_draws_a_new_shift_and_makes_the_place_known(talk):
    shift = talk.printer.plate.home_shift_mm
    assert talk.send("G28") == []
    assert "ok" not in talk.wait(1.0)
    assert "ok" in talk.wait(60.0)
    assert talk.printer.nozzle_mm() == (0.0, 0.0, 0.0)
    assert talk.printer.plate.home_shift_mm != shift
    assert talk.printer.record.homings == 1
    assert kinds(talk) == []


def test_homing_from_low_down_lifts_first(talk):
    talk.do(*READY, "G0 X100 Y100", "G1 Z1 F600", "G28")
    assert kinds(talk) == []


def test_a_single_axis_can_be_homed_and_the_others_stay_unknown(talk):
    talk.do("G28 X")
    assert talk.firmware.interpreter.motion.homed == [True, False, False]
    assert talk.printer.nozzle_mm()[0] == 0.0
    assert talk.printer.record.homings == 0


def test_moves_before_homing_are_made_from_an_unknown_place_and_recorded(talk):
    before = talk.printer.nozzle_mm()
    assert talk.do("G0 Z10 F600", "M400")[-1] == "ok"
    assert talk.printer.nozzle_mm()[2] == pytest.approx(before[2] + 10.0)
    assert kinds(talk) == ["before-homing"]


def test_an_axis_that_is_not_moved_need_not_be_homed(talk):
    talk.do("G28 X Y", "G0 X50")
    assert kinds(talk) == []


def test_a_motor_that_meets_the_frame_stalls_and_loses_its_place(talk):
    talk.do("G0 X5000 F60000", "M400")
    assert talk.printer.nozzle_mm()[0] == 220.0
    assert talk.send("M114")[0].startswith("X:5000.00")


def test_sideways_below_clearance_is_recorded(talk):
    talk.do(*READY, "G0 X100 Y100", "G1 Z4.9 F600", "G0 X110", "M400")
    assert kinds(talk) == ["low-sideways"]


def test_sideways_at_clearance_and_straight_down_over_a_point_are_in_order(talk):
    talk.do(*READY, "G0 X30 Y30", "G1 Z0.2 F300", "G0 Z5", "G0 X190 Y190", "G1 Z0.2 F300", "M400")
    assert kinds(talk) == []


def test_a_touch_is_no_crash_and_a_little_more_is(make_machine, talk_to):
    deep = make_machine(motion=Motion(x_mm=(0, 220), y_mm=(0, 220), z_mm=(-3.0, 240)))
    for below, crashes in ((TOUCH_MM - 0.005, 0), (TOUCH_MM + 0.005, 1), (1.0, 1)):
        talk = talk_to(deep)
        talk.do(*READY, "G0 X110 Y110", "M400")
        gap_at_zero = talk.printer.plate.gap_at(110.0, 110.0, 0.0)
        talk.do(f"G1 Z{-gap_at_zero - below:.4f} F300", "M400")
        depths = [crash.depth_mm for crash in talk.printer.record.crashes]
        assert depths == pytest.approx([below] * crashes, abs=1e-3)


def test_lifting_out_of_a_crash_is_not_another_crash(make_machine, talk_to):
    talk = talk_to(make_machine(motion=Motion(x_mm=(0, 220), y_mm=(0, 220), z_mm=(-3.0, 240))))
    talk.do(*READY, "G0 X110 Y110", "G1 Z-1 F300", "G0 Z5", "M400")
    assert kinds(talk) == ["crash"]


def test_ploughing_through_a_high_spot_on_the_way_is_a_crash(make_machine, talk_to):
    talk = talk_to(make_machine(motion=Motion(x_mm=(-50, 220), y_mm=(0, 220), z_mm=(-3.0, 240))))
    talk.do(*READY, "G0 X-20 Y110", "G1 Z-1 F300", "M400")
    assert talk.printer.record.crashes == []
    talk.do("G0 X100", "M400")
    assert kinds(talk) == ["low-sideways", "crash"]


def test_only_the_part_of_a_move_that_was_made_before_a_stop_can_crash(make_machine, talk_to):
    talk = talk_to(make_machine(motion=Motion(x_mm=(0, 220), y_mm=(0, 220), z_mm=(-3.0, 240))))
    talk.do(*READY, "G0 X110 Y110", "M400")
    talk.send("G1 Z-2 F60")
    talk.wait(3.0)
    talk.send("M112")
    talk.wait(60.0)
    assert talk.printer.nozzle_mm()[2] == pytest.approx(2.0, abs=0.1)
    assert kinds(talk) == []


def test_homing_beside_a_plate_that_stands_high_does_not_touch_it(machine):
    printer = SimulatedPrinter(machine, 1, start="high")
    printer.firmware.receive(b"G28\n", 0.0)
    printer.let_pass(100.0)
    assert printer.nozzle_mm() == (0.0, 0.0, 0.0)
    assert printer.record.violations == []


def test_homing_z_alone_over_a_plate_that_stands_high_is_a_crash(machine):
    printer = SimulatedPrinter(machine, 1, start="high")
    printer.firmware.receive(b"G28\nG0 Z5\nG0 X110 Y110\nG28 Z\n", 0.0)
    printer.let_pass(100.0)
    printer.nozzle_mm()
    assert [violation.kind for violation in printer.record.violations] == ["crash"]
