"""The serial library's edge, on real pseudo-terminals and sockets."""

from __future__ import annotations

import os
import select
import socket
import threading
import time
import tty
from contextlib import suppress

import pytest
import serial
import serial.rfc2217

from drivers.conversation import Waits
from drivers.errors import LinkLost
from drivers.printer import LinePrinter
from drivers.serial_port import open_port
from drivers.simulated import SimulatedPrinter
from drivers.simulated.serve import PtyServer
from profiles.load import load

PATIENCE_S = 10.0


def read_until(transport, wanted: bytes) -> bytes:
    """Read on until `wanted` has come. Fails after `PATIENCE_S`."""
    got, end = b"", time.monotonic() + PATIENCE_S
    while wanted not in got:
        assert time.monotonic() < end, f"only {got!r} came"
        got += transport.read()
    return got


@pytest.fixture
def pty():
    """A pseudo-terminal's master and the path of its other end."""
    master, slave = os.openpty()
    tty.setraw(slave)
    yield master, os.ttyname(slave)
    for end in (master, slave):
        with suppress(OSError):
            os.close(end)


class PtyPort(serial.Serial):
    """A pseudo-terminal has no control lines: what is set is noted, what is read is off."""

    cts = dsr = ri = cd = property(lambda self: False)

    def _update_dtr_state(self) -> None:
        self.noted = {**getattr(self, "noted", {}), "dtr": self._dtr_state}

    def _update_rts_state(self) -> None:
        self.noted = {**getattr(self, "noted", {}), "rts": self._rts_state}


class Rfc2217Server:
    """A serial port on the network, built on the serial library's own server part."""

    def __init__(self, device: str) -> None:
        self.port = PtyPort(device, timeout=0.02)
        self.listener = socket.create_server(("127.0.0.1", 0))
        self.url = f"rfc2217://127.0.0.1:{self.listener.getsockname()[1]}"
        self.bauds: list[int] = []
        self.done = threading.Event()
        self.thread = threading.Thread(target=self.serve, daemon=True)

    def __enter__(self):
        self.thread.start()
        return self

    def __exit__(self, *error) -> None:
        self.done.set()
        self.thread.join()
        self.listener.close()
        self.port.close()

    def write(self, data: bytes) -> None:
        """What the server part answers goes to the client."""
        self.client.sendall(data)

    def serve(self) -> None:
        self.client, _ = self.listener.accept()
        manager = serial.rfc2217.PortManager(self.port, self)
        with self.client:
            while not self.done.is_set():
                if select.select([self.client], [], [], 0.01)[0]:
                    data = self.client.recv(1024)
                    if not data:
                        return
                    self.port.write(b"".join(manager.filter(data)))
                    self.bauds.append(self.port.baudrate)
                if data := self.port.read(self.port.in_waiting or 1):
                    self.client.sendall(b"".join(manager.escape(data)))


def test_bytes_go_both_ways_over_a_pseudo_terminal(pty):
    master, path = pty
    transport = open_port(path, 115200)
    assert not transport.may_reset
    assert transport.name == path
    transport.write(b"N1 G28*18\n")
    assert os.read(master, 100) == b"N1 G28*18\n"
    os.write(master, b"ok\n" * 3)
    assert read_until(transport, b"ok\n" * 3) == b"ok\n" * 3
    transport.close()


def test_silence_returns_nothing_and_does_not_block(pty):
    transport = open_port(pty[1], 115200)
    assert transport.read() == b""
    transport.close()


def test_a_hung_up_pseudo_terminal_is_an_os_error(pty):
    master, path = pty
    transport = open_port(path, 115200)
    os.close(master)
    with pytest.raises(OSError):  # noqa: PT011
        read_until(transport, b"never")
    transport.close()


def test_bytes_go_both_ways_over_a_socket():
    with socket.create_server(("127.0.0.1", 0)) as listener:
        transport = open_port(f"socket://127.0.0.1:{listener.getsockname()[1]}", 115200)
        peer, _ = listener.accept()
        with peer:
            transport.write(b"M105\n")
            assert peer.recv(100) == b"M105\n"
            peer.sendall(b"ok T:20.0\n")
            assert read_until(transport, b"\n") == b"ok T:20.0\n"
        with pytest.raises(OSError):  # noqa: PT011
            read_until(transport, b"never")
        transport.close()


@pytest.mark.filterwarnings("ignore:set(Daemon|Name):DeprecationWarning")
def test_rfc2217_carries_bytes_speed_and_control_lines(pty):
    master, path = pty
    with Rfc2217Server(path) as server:
        transport = open_port(server.url, 57600)
        assert transport.may_reset
        transport.write(b"M105 \xff\n")
        assert os.read(master, 100) == b"M105 \xff\n"
        os.write(master, b"ok \xff T:20.0\n")
        assert read_until(transport, b"\n") == b"ok \xff T:20.0\n"
        assert server.bauds[-1] == 57600
        assert server.port.noted == {"dtr": True, "rts": True}
        transport.close()


@pytest.mark.filterwarnings("ignore:set(Daemon|Name):DeprecationWarning")
async def test_a_whole_job_goes_through_an_rfc2217_line():
    machine = load("four-corner-220")
    simulated = SimulatedPrinter(machine, seed=1, speed=200.0)
    with PtyServer(simulated) as printer_end, Rfc2217Server(printer_end.url) as server:
        printer = LinePrinter(machine, server.url, waits=Waits(boot_s=0.2, poll_s=0.05))
        assert (await printer.connect()).simulated
        await printer.home()
        await printer.park(machine.point[0], 0.2)
        await printer.make_safe()
        await printer.close()
    assert simulated.record.violations == []


@pytest.mark.parametrize(
    ("url", "why"),
    [
        ("/dev/no-such-port", "no such port"),
        ("/etc/hostname", "not a serial port"),
        ("socket://127.0.0.1:1", "refused"),
        ("socket://nowhere", "cannot be opened"),
        ("loop-the-loop://", "cannot be opened"),
        ("rfc2217://127.0.0.1:1", "cannot be opened"),
    ],
)
def test_what_cannot_be_opened_says_why(url, why):
    with pytest.raises(LinkLost, match=why):
        open_port(url, 115200)


def test_both_control_lines_are_set_before_opening(monkeypatch):
    order = []

    class Port:
        def __setattr__(self, name, value):
            order.append((name, value))

        def open(self):
            order.append(("open", None))

    monkeypatch.setattr("drivers.serial_port.why_not", lambda device: "")
    monkeypatch.setattr(serial, "serial_for_url", lambda *parts, **more: Port())
    open_port("/dev/pretended", 115200)
    assert order.index(("dtr", True)) < order.index(("open", None))
    assert order.index(("rts", True)) < order.index(("open", None))
