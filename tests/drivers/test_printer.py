"""A printer on a line: what goes over the line for each thing asked, and what is refused."""

from __future__ import annotations

import asyncio
import math

import pytest

from drivers.errors import LinkLost, MoveRefused, NoReply, PrinterFault
from profiles.machine import Point


def test_connecting_moves_nothing_and_says_who_answered(bench):
    async def job(printer, line):
        identity = await printer.connect()
        assert identity.facts["MACHINE_NAME"] == "test bench"
        assert identity.simulated
        assert line.lines() == ["M110", "M105", "G21", "G90", "M84 S0", "M115"]

    bench(job)


def test_a_machine_that_restarts_while_it_is_greeted_is_greeted_again(bench):
    async def job(printer, line):
        asyncio.get_running_loop().call_later(0.2005, lambda: line.say("start\n"))
        await printer.connect()
        assert line.done.count("M110") == 2
        assert printer.status.trouble == ""
        await printer.home()

    bench(job)


def test_a_port_on_which_nothing_is_understood_says_what_to_look_at(bench):
    async def job(printer, line):
        line.halted = True
        with pytest.raises(NoReply, match="is it the right port"):
            await printer.connect()

    bench(job)


def test_parking_lifts_then_goes_sideways_then_comes_down_slowly(bench, machine):
    async def job(printer, line):
        await printer.connect()
        await printer.home()
        before = len(line.done)
        await printer.park(machine.point[1], 0.2)
        assert line.done[before:] == [
            "G0 X190 Y30 F6000",
            "G1 Z1.2 F600",
            "G1 Z0.95 F120",
            "G1 Z0.7 F120",
            "G1 Z0.45 F120",
            "G1 Z0.2 F120",
            "M400",
            "M114",
        ]
        assert printer.status.position_mm == (190, 30, 0.2)

    bench(job)


def test_parking_elsewhere_lifts_first(bench, machine):
    async def job(printer, line):
        await printer.connect()
        await printer.home()
        await printer.park(machine.point[1], 0.2)
        before = len(line.done)
        await printer.park(machine.point[2], 0.2)
        assert line.done[before:][:2] == ["G1 Z5 F600", "G0 X30 Y190 F6000"]

    bench(job)


def test_homing_ends_at_clearance_height(bench):
    async def job(printer, line):
        await printer.connect()
        await printer.home()
        assert line.position["Z"] == 5.0

    bench(job)


def test_going_up_a_little_ends_in_a_way_down(bench, machine):
    async def job(printer, line):
        await printer.connect()
        await printer.home()
        await printer.park(machine.point[0], 0.2)
        before = len(line.done)
        await printer.lower(0.3)
        assert line.done[before:][:3] == ["G1 Z0.8 F600", "G1 Z0.55 F120", "G1 Z0.3 F120"]

    bench(job)


@pytest.mark.parametrize("z_mm", [-0.01, 240.5, math.nan, math.inf])
def test_heights_outside_the_profile_are_refused_and_nothing_is_sent(bench, machine, z_mm):
    async def job(printer, line):
        await printer.connect()
        await printer.home()
        before = line.lines()
        with pytest.raises(MoveRefused, match="outside the profile"):
            await printer.park(machine.point[0], z_mm)
        assert line.lines() == before

    bench(job)


def test_a_point_that_is_not_in_the_profile_is_refused(bench):
    async def job(printer, line):
        await printer.connect()
        await printer.home()
        with pytest.raises(MoveRefused, match="no point"):
            await printer.park(Point(name="somewhere", at_mm=(1, 1)), 0.2)

    bench(job)


def test_nothing_moves_before_homing(bench, machine):
    async def job(printer, line):
        await printer.connect()
        for move in (printer.park(machine.point[0], 0.2), printer.lower(0.2), printer.lift()):
            with pytest.raises(MoveRefused, match="before homing"):
                await move
        assert not [block for block in line.done if block[0] == "G" and block not in ("G21", "G90")]

    bench(job)


def test_a_machine_that_knows_only_motion_still_works(bench, machine, fakes):
    unknown = 'echo:Unknown command: "x"\nok\n'
    line = fakes.obedient(dict.fromkeys(("M115", "M400", "M114", "M84", "G21"), unknown))

    async def job(printer, line):
        identity = await printer.connect()
        assert identity.facts == {}
        await printer.home()
        await printer.park(machine.point[0], 0.2)
        assert line.position == {"X": 30, "Y": 30, "Z": 0.2}

    bench(job, line)


def test_a_restart_while_waiting_is_told_at_once_and_the_next_move_is_not_made(bench, machine):
    async def job(printer, line):
        await printer.connect()
        await printer.home()
        line.say("start\n")
        await asyncio.sleep(0.1)
        assert "restarted" in printer.status.trouble
        assert printer.status.position_mm is None
        with pytest.raises(PrinterFault, match="restarted"):
            await printer.park(machine.point[0], 0.2)
        line.last_number = 0
        await printer.home()
        await printer.park(machine.point[0], 0.2)

    bench(job)


def test_a_silent_machine_is_named_with_the_last_lines(bench, fakes):
    async def job(printer, line):
        await printer.connect()
        line.halted = True
        with pytest.raises(NoReply, match="G28") as caught:
            await printer.home()
        assert caught.value.exchange[-1].startswith("> N")

    bench(job)


def test_pulling_the_cable_in_a_move_is_a_lost_line(bench, machine):
    async def job(printer, line):
        await printer.connect()
        await printer.home()
        asyncio.get_running_loop().call_later(0.0005, line.unplug)
        with pytest.raises(LinkLost, match="cable"):
            await printer.park(machine.point[0], 0.2)
        assert printer.status.link == "lost"

    bench(job)


def test_stop_is_written_at_once_while_a_block_is_in_flight_and_its_confirmation_is_shown(bench, machine):
    async def job(printer, line):
        await printer.connect()
        line.answers["G28"] = ""
        homing = asyncio.create_task(printer.home())
        await asyncio.sleep(1.0)
        printer.stop()
        assert line.written[-1] == b"\nM112\n"
        assert printer.status.stopped == "written"
        with pytest.raises(PrinterFault, match="Stopped"):
            await homing
        await asyncio.sleep(0.1)
        assert printer.status.stopped == "confirmed"
        with pytest.raises(PrinterFault, match="told to stop"):
            await printer.park(machine.point[0], 0.2)

    bench(job)


def test_after_a_stop_the_position_is_not_known(bench, machine):
    async def job(printer, line):
        await printer.connect()
        await printer.home()
        await printer.park(machine.point[0], 0.2)
        printer.stop()
        assert printer.status.position_mm is None

    bench(job)


def test_making_safe_lifts_and_switches_the_heaters_off(bench, machine):
    async def job(printer, line):
        await printer.connect()
        await printer.home()
        await printer.park(machine.point[0], 0.2)
        before = len(line.done)
        await printer.make_safe()
        assert line.done[before:] == ["G1 Z5 F600", "M400", "M114", "M104 S0", "M140 S0"]

    bench(job)


def test_warming_waits_for_both_and_refuses_too_much(bench):
    async def job(printer, line):
        await printer.connect()
        await printer.warm(60, 150)
        assert printer.status.temperatures.bed_c == 60
        with pytest.raises(MoveRefused, match="outside the profile"):
            await printer.warm(60, 300)

    bench(job)


def test_a_heater_that_does_not_heat_is_a_fault(bench, fakes):
    async def job(printer, line):
        await printer.connect()
        with pytest.raises(PrinterFault, match="plate does not heat"):
            await printer.warm(60, 0)

    bench(job, fakes.obedient({"M105": "ok T:21.0 /0.0 B:21.0 /60.0 @:0 B@:0\n"}))
