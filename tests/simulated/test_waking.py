"""A served machine sleeps until there is something to do, and wakes when hands are laid on it."""

from __future__ import annotations

import select
import threading

import pytest
import serial

from drivers.simulated import SimulatedPrinter, serve
from drivers.simulated.serve import PtyServer, TcpServer
from drivers.simulated.waking_lock import WakingLock


@pytest.mark.parametrize("kind", [PtyServer, TcpServer])
def test_a_machine_that_stands_still_is_not_looked_at_again_and_again(kind, machine, monkeypatch):
    """Each sleep is without an end, but for what is due: no waking up in vain, with a client or without."""
    sleeps: list[float | None] = []
    asleep = select.select

    def noted(reads, writes, errors, wait_s=None):
        if threading.current_thread().name == "simulated printer":
            sleeps.append(wait_s)
        return asleep(reads, writes, errors, wait_s)

    monkeypatch.setattr(serve.select, "select", noted)
    with kind(SimulatedPrinter(machine)) as server, serial.serial_for_url(server.url, timeout=20) as port:
        for _ in range(3):
            port.write(b"M105\n")
            while not port.readline().startswith(b"ok"):
                pass
        while sleeps[-1] is not None:
            pass
    assert len(sleeps) < 20
    assert not [wait_s for wait_s in sleeps if wait_s]


def test_a_reset_by_hand_is_told_at_once(machine):
    """The thread that serves is asleep then; letting go of the lock wakes it."""
    with (
        PtyServer(SimulatedPrinter(machine)) as server,
        serial.serial_for_url(server.url, timeout=20) as port,
    ):
        port.write(b"M105\n")
        while not port.readline().startswith(b"ok"):  # what it said at its first start is read away
            pass
        with server.printer.lock:
            server.printer.firmware.restart()
        assert port.readline() == b"start\n"


def test_a_lock_tells_each_release_and_may_be_taken_twice():
    told: list[int] = []
    lock = WakingLock()
    lock.when_released = lambda: told.append(1)
    with lock, lock:
        assert told == []
    assert len(told) == 2
