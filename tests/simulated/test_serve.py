"""The servers, through the real serial library. Waits on bytes, never on the clock."""

from __future__ import annotations

import socket

import pytest
import serial

from drivers.simulated import SimulatedPrinter
from drivers.simulated.operator import STEADY, Operator
from drivers.simulated.serve import PtyServer, TcpServer, local_server

SPEED = 2000.0
SERVERS = [pytest.param(PtyServer, id="pty"), pytest.param(TcpServer, id="tcp")]


class Client:
    """A host at the other end of a serial line."""

    def __init__(self, url):
        self.port = serial.serial_for_url(url, baudrate=115200, timeout=20)

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.port.close()

    def ask(self, data):
        """Send bytes; return the lines up to the `ok`."""
        self.port.write(data)
        said = []
        while not said or not said[-1].startswith("ok"):
            line = self.port.readline()
            assert line.endswith(b"\n"), f"silence after {said}"
            said.append(line.decode("ascii").strip())
        return said


@pytest.fixture(params=SERVERS)
def server(request, machine):
    with request.param(SimulatedPrinter(machine, 1, SPEED)) as server:
        yield server


def test_a_whole_conversation_goes_over_the_line(server, numbered):
    with Client(server.url) as client:
        client.ask(numbered(1, "M110 N1"))
        blocks = ("G21", "G90", "M190 S60", "G28", "G0 Z5 F600", "G0 X30 Y30 F6000", "G1 Z0.2 F120", "M400")
        for number, block in enumerate(blocks, 2):
            assert client.ask(numbered(number, block))[-1] == "ok"
        assert client.ask(numbered(10, "M114")) == ["X:30.00 Y:30.00 Z:0.200 E:0.00", "ok"]
    assert server.printer.nozzle_mm() == (30.0, 30.0, 0.2)
    assert server.printer.record.violations == []
    low, high = Operator(server.printer, 1, STEADY).leaf_reading((0.1, 0.2, 0.3, 0.4))
    assert low < server.printer.gap_mm() < high


def test_the_machine_goes_on_for_the_next_client_as_the_last_one_left_it(server, numbered):
    with Client(server.url) as client:
        client.ask(numbered(5, "M110"))
        client.ask(b"G28\n")
        client.ask(b"G0 Z7 F600\n")
    with Client(server.url) as client:
        assert client.ask(numbered(6, "M400"))[-1] == "ok"
        assert "Z:7.000" in client.ask(b"M114\n")[-2]


def test_a_client_that_never_reads_does_not_stop_the_machine(server):
    with Client(server.url) as client:
        client.port.write(b"M105\n" * 2000 + b"G28\n")
        while server.printer.record.homings == 0:
            server.printer.nozzle_mm()
    assert server.printer.record.blocks == {"M105": 2000, "G28": 1}


def test_a_stop_is_obeyed_and_the_board_starts_anew(server):
    with Client(server.url) as client:
        client.ask(b"G28\n")
        client.port.write(b"M190 S100\nM112\n")
        said = [client.port.readline()]
        while said[-1] != b"start\n":
            said.append(client.port.readline())
            assert said[-1], "silence after a stop"
        assert b"Error: stopped by M112, heaters off\n" in said
        assert client.ask(b"M105\n")[-1].endswith("/0.0")


def test_a_pseudo_terminal_does_not_echo_what_the_machine_says(machine):
    with PtyServer(SimulatedPrinter(machine, 1, SPEED)) as server:
        with Client(server.url) as client:
            client.ask(b"M115\n")
        assert server.printer.record.blocks == {"M115": 1}


def test_a_port_that_is_taken_is_an_error_at_once(machine):
    with socket.create_server(("127.0.0.1", 0)) as taken, pytest.raises(OSError, match="in use"):
        TcpServer(SimulatedPrinter(machine), port=taken.getsockname()[1])


def test_a_second_client_waits_until_the_first_has_gone(machine):
    with TcpServer(SimulatedPrinter(machine, 1, SPEED)) as server:
        first = Client(server.url)
        first.ask(b"M105\n")
        with Client(server.url) as second:
            second.port.write(b"M105\n")
            first.ask(b"M105\n")
            first.port.close()
            assert second.ask(b"M105\n")[-1].startswith("ok")


def test_the_local_server_is_one_that_this_system_has(machine):
    with local_server(SimulatedPrinter(machine, 1, SPEED)) as server, Client(server.url) as client:
        assert client.ask(b"M105\n")[-1].startswith("ok T:")


def test_closing_ends_the_thread_and_the_line(machine):
    with TcpServer(SimulatedPrinter(machine, 1, SPEED)) as server, Client(server.url) as client:
        client.ask(b"M105\n")
    with pytest.raises(OSError, match="refused"):
        socket.create_connection(("127.0.0.1", int(server.url.rpartition(":")[2])))
    assert server.printer.record.blocks == {"M105": 1}
