"""The whole driver against the simulated printer over a real pseudo-terminal, socket and RFC 2217 line."""

from __future__ import annotations

import asyncio

import pytest

from drivers.conversation import Waits
from drivers.errors import LinkLost, PrinterFault
from drivers.printer import LinePrinter
from drivers.simulated import SimulatedPrinter
from drivers.simulated.serve import PtyServer, TcpServer
from profiles.load import load

MACHINE = load("four-corner-220")
WAITS = Waits(quiet_s=0.1, poll_s=0.02)
SPEED = 200.0


async def until(condition):
    """Wait for a condition that the other thread brings about."""
    async with asyncio.timeout(20):
        while not condition():  # noqa: ASYNC110
            await asyncio.sleep(0.01)


@pytest.fixture
def simulated():
    return SimulatedPrinter(MACHINE, seed=1, speed=SPEED)


@pytest.mark.parametrize("server", [PtyServer, TcpServer])
async def test_a_job_goes_through_the_real_serial_library(simulated, server):
    with server(simulated) as served:
        printer = LinePrinter(MACHINE, served.url, waits=WAITS)
        identity = await printer.connect()
        assert identity.simulated
        assert identity.line == served.url
        await printer.warm(60, 0)
        await printer.home()
        for point in MACHINE.point[:2]:
            await printer.park(point, 0.2)
            assert simulated.nozzle_mm()[2] == pytest.approx(0.2, abs=0.5)  # home repeats only so well
        await printer.make_safe()
        await printer.close()
    assert simulated.record.violations == []


async def test_a_restart_of_the_board_is_told_and_the_job_goes_on_after_homing(simulated):
    with PtyServer(simulated) as served:
        printer = LinePrinter(MACHINE, served.url, waits=WAITS)
        await printer.connect()
        await printer.home()
        with simulated.lock:
            simulated.firmware.restart()
        await until(lambda: printer.status.trouble)
        assert "restarted" in printer.status.trouble
        with pytest.raises(PrinterFault, match="restarted"):
            await printer.park(MACHINE.point[0], 0.2)
        await printer.home()
        await printer.park(MACHINE.point[0], 0.2)
        await printer.close()
    assert simulated.record.violations == []


async def test_a_hung_up_line_is_lost_and_says_so_when_it_does_not_come_back(simulated):
    with PtyServer(simulated) as served:
        printer = LinePrinter(MACHINE, served.url, waits=WAITS)
        await printer.connect()
        await printer.home()
    await until(lambda: printer.status.link == "lost")
    with pytest.raises(LinkLost):
        await printer.park(MACHINE.point[0], 0.2)
    with pytest.raises(LinkLost, match="cannot be opened"):
        await printer.connect()
    await printer.close()


async def test_stop_halts_the_machine_in_the_middle_of_homing(simulated):
    simulated.speed = 1.0
    with PtyServer(simulated) as served:
        printer = LinePrinter(MACHINE, served.url, waits=WAITS)
        await printer.connect()
        homing = asyncio.create_task(printer.home())
        await until(lambda: "G28" in simulated.record.blocks)
        printer.stop()
        with pytest.raises(PrinterFault, match="Stopped"):
            await homing
        await until(lambda: printer.status.stopped == "confirmed")
        await printer.close()
    assert simulated.record.stops >= 1
