"""A profile with a wrong speed: the machine is found at its own, and that is said."""

from __future__ import annotations

import asyncio
import fcntl
import struct

import pytest

from drivers.conversation import Waits
from drivers.errors import NoReply
from drivers.exchange_events import Patience
from drivers.printer import LinePrinter
from drivers.simulated import SimulatedPrinter
from drivers.simulated.noise import Noise
from drivers.simulated.serve import PtyServer
from profiles.load import load

TCGETS2 = 0x802C542A
"""Linux: a terminal's settings with its speeds as plain numbers, asm-generic/termbits.h."""
PATIENCE = Patience(grace_s=0.05, margin_s=0.3)


def speed_of(descriptor: int) -> int:
    """Return the speed that the other end of a pseudo-terminal was opened with."""
    settings = fcntl.ioctl(descriptor, TCGETS2, bytes(44))
    return struct.unpack("<I", settings[40:44])[0]


class Tuned(Noise):
    """At any other speed than the machine's own, bytes are noise in both directions."""

    def __init__(self, own: int) -> None:
        super().__init__(0.0)
        self.own = own
        self.master = -1

    def _heard(self, data: bytes) -> bytes:
        return data if speed_of(self.master) == self.own else bytes(byte | 0x80 for byte in data[::3])

    on_blocks = on_answers = _heard


def served(own: int) -> PtyServer:
    noise = Tuned(own)
    server = PtyServer(SimulatedPrinter(MACHINE, seed=1, speed=200.0), noise)
    noise.master = server._master
    return server


MACHINE = load("four-corner-220")
assert MACHINE.motion.baud == 115200


@pytest.fixture(autouse=True)
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("drivers.speed_search.TRYING", PATIENCE)


async def test_a_machine_at_another_speed_is_found_and_driven_and_the_person_is_told():
    with served(250000) as server:
        printer = LinePrinter(MACHINE, server.url, PATIENCE, Waits(quiet_s=0.02))
        who = await printer.connect()
        assert who.simulated
        assert "answers at 250000 baud, not at the 115200" in who.note
        await printer.home()
        await printer.close()
        again = await printer.connect()
        assert again.note == ""
        await printer.close()


async def test_at_its_own_speed_nothing_is_searched_or_said():
    with served(115200) as server:
        printer = LinePrinter(MACHINE, server.url, PATIENCE, Waits(quiet_s=0.02))
        assert (await printer.connect()).note == ""
        await printer.close()


async def test_a_machine_that_answers_at_none_is_told_with_what_was_tried():
    with served(12345) as server:
        printer = LinePrinter(MACHINE, server.url, PATIENCE, Waits(quiet_s=0.02))
        with pytest.raises(NoReply, match=r"Nothing that could be understood.*Other speeds were tried, too"):
            await printer.connect()
        await printer.close()


async def test_a_stop_ends_the_search():
    with served(12345) as server:
        printer = LinePrinter(MACHINE, server.url, PATIENCE, Waits(quiet_s=0.02))
        connecting = asyncio.create_task(printer.connect())
        while not printer._line.resends:  # noqa: ASYNC110 -- the other end brings it about
            await asyncio.sleep(0.01)
        printer.stop()
        with pytest.raises(Exception, match=r"[Ss]topped"):
            await connecting
        await printer.close()
