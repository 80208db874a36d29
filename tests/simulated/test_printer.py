"""The whole simulated printer, and a bare nozzle for benchmarks."""

from __future__ import annotations

import pytest

from drivers.simulated import BareNozzle, SimulatedPrinter
from drivers.simulated.plate import Plate


def test_time_stands_still_until_it_is_let_pass_or_a_clock_is_given(machine):
    printer = SimulatedPrinter(machine)
    printer.let_pass(3.0)
    assert printer.now() == 3.0
    printer.clock = lambda: 10.0
    assert printer.now() == 10.0
    printer.clock = lambda: 9.0
    assert printer.now() == 10.0


def test_a_seed_says_the_plate_the_hand_s_leaves_and_where_the_head_was_left(machine):
    one, same, other = (SimulatedPrinter(machine, seed) for seed in (2, 2, 3))
    assert one.nozzle_mm() == same.nozzle_mm() != other.nozzle_mm()
    assert one.plate.true_worst_deviation_mm == same.plate.true_worst_deviation_mm


def test_a_whole_scripted_job_is_the_same_to_the_byte_for_the_same_seed(machine):
    def said(seed):
        printer = SimulatedPrinter(machine, seed)
        printer.firmware.receive(b"M190 S60\nG28\nG0 Z5\nG0 X30 Y30\nG1 Z0.2\nM400\nM114\nM105\n", 0.0)
        return printer.firmware.poll(900.0), printer.plate.gap_at(30.0, 30.0, 0.2)

    assert said(7) == said(7)


def test_a_fast_machine_speaks_less_often_by_its_own_clock(machine):
    def busy(speed):
        printer = SimulatedPrinter(machine, 1, speed)
        printer.firmware.receive(b"M190 S60\n", 0.0)
        return printer.firmware.poll(1000.0).count(b"busy")

    assert busy(1.0) > 100
    assert busy(600.0) <= 1


def test_a_bare_nozzle_is_over_the_same_plate_as_the_printer_s(machine):
    bare, printer = BareNozzle(Plate(machine, 5)), SimulatedPrinter(machine, 5)
    bare.park(machine.point[0], 0.2)
    assert bare.gap_mm() == printer.plate.gap_at(30.0, 30.0, 0.2)


def test_a_bare_nozzle_homes_and_warms_at_once(machine):
    bare = BareNozzle(Plate(machine, 5))
    bare.park(machine.point[4], 0.2)
    bare.warm()
    bare.home()
    truth = bare.plate.true_gaps(machine, 0.2)["centre"]
    assert bare.gap_mm() - bare.plate.home_shift_mm == pytest.approx(truth, abs=1e-12)
