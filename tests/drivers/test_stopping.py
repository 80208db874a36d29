"""Stop: at once, again until it is obeyed, and again on a line that came back."""

from __future__ import annotations

import asyncio

import pytest

from drivers.errors import Stopped

STOP = b"\nM112\n"


def test_a_stop_that_got_lost_is_written_again_until_the_machine_shows_that_it_obeyed(bench, fakes):
    class Deaf(fakes.obedient):
        deaf_to = 2

        def heard(self, line):
            if line == "M112" and self.deaf_to:
                self.deaf_to -= 1
                return ""
            return super().heard(line)

    async def job(printer, line):
        await printer.connect()
        printer.stop()
        assert printer.status.stopped == "written"
        await asyncio.sleep(5.0)
        assert line.written.count(STOP) == 3
        assert printer.status.stopped == "confirmed"

    bench(job, Deaf())


def test_a_stop_that_nothing_confirms_is_said_to_be_written_and_not_more(bench, fakes):
    class Mute(fakes.obedient):
        def heard(self, line):
            return "" if line == "M112" else super().heard(line)

    async def job(printer, line):
        await printer.connect()
        printer.stop()
        await asyncio.sleep(60.0)
        assert printer.status.stopped == "written"
        assert line.written.count(STOP) == 6

    bench(job, Mute())


def test_a_block_in_flight_is_not_repeated_after_a_stop(bench, fakes):
    class Mute(fakes.obedient):
        def heard(self, line):
            return "" if line == "M112" or "G28" in line else super().heard(line)

    async def job(printer, line):
        await printer.connect()
        homing = asyncio.create_task(printer.home())
        await asyncio.sleep(1.0)
        before = len(line.written)
        printer.stop()
        await asyncio.sleep(1000.0)
        with pytest.raises(Stopped):
            await homing
        assert set(line.written[before:]) == {STOP}

    bench(job, Mute())


def test_a_lost_line_is_opened_again_and_the_machine_stopped_as_soon_as_it_is_back(bench, fakes, machine):
    old, new = fakes.obedient(), fakes.obedient()
    back = []

    async def job(printer, line):
        await printer.connect()
        await printer.home()

        async def reopen():
            if not back:
                raise fakes.link_lost("not there")
            return new

        printer._line._opener = reopen
        old.unplug()
        printer.stop()
        assert printer.status.stopped == "not written"
        await asyncio.sleep(10.0)
        assert printer.status.stopped == "not written"
        back.append(True)
        await asyncio.sleep(2.0)
        assert new.written[0] == STOP
        assert printer.status.stopped == "confirmed"
        assert printer.status.link == "open"

    bench(job, old)


def test_connecting_anew_is_the_only_way_on_and_ends_the_repeats(bench):
    async def job(printer, line):
        await printer.connect()
        printer.stop()
        line.restart(banner=False)
        with pytest.raises(Stopped):
            await printer.home()
        await printer.connect()
        await printer.home()
        await asyncio.sleep(5.0)
        assert line.written.count(STOP) == 1
        assert printer.status.stopped == ""

    bench(job)


@pytest.mark.parametrize("after_s", [0.0, 0.1, 0.2005, 0.2025, 0.205])
def test_a_stop_while_connecting_ends_the_connecting(bench, after_s):
    async def job(printer, line):
        connecting = asyncio.create_task(printer.connect())
        await asyncio.sleep(after_s)
        printer.stop()
        with pytest.raises(Stopped):
            await connecting
        await asyncio.sleep(5.0)
        assert line.lines().count("M110") <= 1
        assert line.halted

    bench(job)


def test_a_stop_before_a_call_begins_still_stands_when_it_begins(bench):
    async def job(printer, line):
        await printer.connect()
        homing = asyncio.create_task(printer.home())
        printer.stop()
        with pytest.raises(Stopped):
            await homing
        assert "G28" not in line.lines()

    bench(job)


def test_making_safe_after_a_stop_waits_for_what_shows_that_it_was_obeyed(bench):
    async def job(printer, line):
        await printer.connect()
        printer.stop()
        await printer.make_safe()
        assert printer.status.stopped == "confirmed"

    bench(job)


def test_stop_without_a_line_or_a_loop_raises_nothing(fakes, machine):
    printer = fakes.printer(machine, fakes.obedient())
    printer.stop()
    assert printer.status.stopped == "not written"


def test_a_stop_before_any_line_was_open_opens_none(bench, fakes, machine):
    """Nothing was ever told to move there, and it may be another machine's port."""
    opened = []

    def source():
        opened.append(1)
        return fakes.obedient()

    async def job():
        printer = fakes.printer(machine, source)
        printer.stop()
        await printer.make_safe()
        assert printer.status.stopped == "not written"
        assert not opened
        await printer.close()

    fakes.run(job)


def test_making_safe_leaves_the_heat_on_where_it_is_to_stay(bench, machine):
    async def job(printer, line):
        await printer.connect()
        await printer.warm(60, 150)
        await printer.home()
        await printer.park(machine.point[0], 0.2)
        await printer.make_safe(keep_hot=True)
        assert printer.status.position_mm[2] == machine.motion.clearance_mm
        line.unplug()
        await printer.make_safe(keep_hot=True)
        assert line.targets == {"B": 60.0, "T": 150.0}

    bench(job)
