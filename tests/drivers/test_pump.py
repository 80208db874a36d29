"""Reading a line for the loop, with a thread and without; and askers that go away."""

from __future__ import annotations

import asyncio
import os
import tty

import pytest

from drivers.pump import DescriptorPump, ThreadPump, best_pump
from drivers.serial_port import open_port

PATIENCE_S = 10.0


class Told:
    """What a pump told."""

    def __init__(self) -> None:
        self.data = b""
        self.gone: list[str] = []

    def on_bytes(self, data: bytes) -> None:
        self.data += data


async def until(condition) -> None:
    async with asyncio.timeout(PATIENCE_S):
        while not condition():  # noqa: ASYNC110
            await asyncio.sleep(0.005)


@pytest.fixture
def pty():
    master, slave = os.openpty()
    tty.setraw(slave)
    ends = [master, slave]
    yield ends, os.ttyname(slave)
    for end in ends:
        os.close(end)


@pytest.mark.parametrize("kind", [DescriptorPump, ThreadPump])
async def test_bytes_arrive_and_stopping_closes(pty, kind):
    (master, _), path = pty
    told, transport = Told(), open_port(path, 115200)
    pump = kind(transport, asyncio.get_running_loop(), told.on_bytes, told.gone.append)
    pump.start()
    os.write(master, b"ok\n" * 100)
    await until(lambda: told.data == b"ok\n" * 100)
    pump.stop()
    await pump.ended()
    os.write(master, b"late\n")
    await asyncio.sleep(0.02)
    assert told.data == b"ok\n" * 100
    assert told.gone == []
    open_port(path, 115200).close()  # the line is free again


@pytest.mark.parametrize("kind", [DescriptorPump, ThreadPump])
async def test_a_line_that_hangs_up_is_told_once_with_a_reason(pty, kind):
    ends, path = pty
    told, transport = Told(), open_port(path, 115200)
    pump = kind(transport, asyncio.get_running_loop(), told.on_bytes, told.gone.append)
    pump.start()
    os.close(ends.pop(0))
    await until(lambda: told.gone)
    await pump.ended()
    await asyncio.sleep(0.02)
    assert len(told.gone) == 1
    assert told.gone[0]


async def test_a_thread_is_taken_only_where_there_is_no_descriptor(pty):
    transport = open_port(pty[1], 115200)
    loop = asyncio.get_running_loop()
    assert isinstance(best_pump(transport, loop, print, print), DescriptorPump)
    transport.close()

    class Without:
        name, descriptor = "rfc2217", None

    assert isinstance(best_pump(Without(), loop, print, print), ThreadPump)


def test_the_block_of_an_asker_that_went_away_is_waited_for(bench):
    async def job(printer, line):
        await printer.connect()
        line.lasts_s["G28"] = 20.0
        homing = asyncio.create_task(printer.home())
        await asyncio.sleep(1.0)
        homing.cancel()
        with pytest.raises(asyncio.CancelledError):
            await homing
        await printer.cool()
        assert line.done[-3:] == ["G28", "M104 S0", "M140 S0"]

    bench(job)
