"""What a machine tells of itself, and standing over places that no profile knows."""

from __future__ import annotations

import pytest

from drivers.conversation import Waits
from drivers.errors import MoveRefused
from drivers.printer import LinePrinter
from drivers.simulated import SimulatedPrinter
from drivers.simulated.serve import PtyServer
from drivers.teaching import Told
from profiles.load import load


def test_a_machine_is_asked_for_all_that_it_tells_and_nothing_moves(bench):
    async def job(printer, line):
        await printer.connect()
        before = len(line.done)
        told = await printer.teaching().told()
        assert line.done[before:] == ["M115", "M119", "M105", "M114"]
        assert told.facts["MACHINE_NAME"] == "test bench"
        assert "T" in told.heaters
        assert told.position_mm is not None

    bench(job)


def test_a_place_is_gone_to_at_clearance_height_only(bench, machine):
    async def job(printer, line):
        await printer.connect()
        await printer.home()
        await printer.park(machine.point[0], 0.2)
        before = len(line.done)
        await printer.teaching().over((77.5, 12.0))
        assert line.done[before:] == ["G1 Z5 F600", "G0 X77.5 Y12 F6000", "M400", "M114"]
        assert printer.teaching().at_mm() == (77.5, 12.0, 5.0)

    bench(job)


def test_before_homing_nothing_moves_and_no_place_is_known(bench):
    async def job(printer, line):
        await printer.connect()
        before = len(line.done)
        with pytest.raises(MoveRefused, match="No move before homing"):
            await printer.teaching().over((50, 50))
        with pytest.raises(MoveRefused, match="home first"):
            printer.teaching().at_mm()
        assert len(line.done) == before

    bench(job)


@pytest.mark.parametrize("place", [(-0.5, 10), (10, 221), (float("nan"), 10)])
def test_outside_the_limits_is_refused_and_not_cut_short(bench, place):
    async def job(printer, line):
        await printer.connect()
        await printer.home()
        before = len(line.done)
        with pytest.raises(MoveRefused, match="is outside the profile's"):
            await printer.teaching().over(place)
        assert len(line.done) == before

    bench(job)


def test_over_a_place_that_is_no_point_the_nozzle_does_not_come_down(bench):
    async def job(printer, line):
        await printer.connect()
        await printer.home()
        await printer.teaching().over((77.5, 12.0))
        with pytest.raises(MoveRefused, match="not stand over one of the profile's points"):
            await printer.lower(2.0)

    bench(job)


async def test_the_simulated_printer_tells_its_end_stops_and_says_that_it_is_simulated():
    machine = load("four-corner-220")
    simulated = SimulatedPrinter(machine, seed=1, speed=200.0)
    with PtyServer(simulated) as served:
        printer = LinePrinter(machine, served.url, waits=Waits(quiet_s=0.1))
        await printer.connect()
        before: Told = await printer.teaching().told()
        await printer.home()
        await printer.teaching().over((100, 100))
        after: Told = await printer.teaching().told()
        await printer.close()
    assert "simulated" in " ".join(before.facts.values()).lower()
    assert before.heaters == ("T", "B")
    assert set(before.endstops) == {"x_min", "y_min", "z_min"}
    assert after.endstops == {"x_min": False, "y_min": False, "z_min": False}
    assert after.position_mm == (100.0, 100.0, 5.0)
