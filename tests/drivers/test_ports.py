"""Which ports there are and why one cannot be opened."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import tty
from types import SimpleNamespace

import pytest

from drivers import ports
from drivers.errors import LinkLost
from drivers.same_device import SameDevice
from drivers.serial_port import open_port


def info(device, vid=None, pid=None, serial_number=None, description="n/a"):
    return SimpleNamespace(
        device=device, vid=vid, pid=pid, serial_number=serial_number, description=description
    )


@pytest.fixture
def pty():
    master, slave = os.openpty()
    tty.setraw(slave)
    yield os.ttyname(slave)
    os.close(master)
    os.close(slave)


def test_ports_are_listed_with_description_identity_and_trouble(monkeypatch):
    found = [info("/dev/ttyB", 0x1A86, 0x7523, "A1", "USB to serial"), info("/dev/ttyA")]
    monkeypatch.setattr(ports.list_ports, "comports", lambda: found)
    first, second = ports.find_ports()
    assert (first.device, first.description, first.usb) == ("/dev/ttyA", "", "")
    assert "no such port" in first.trouble
    assert (second.description, second.usb) == ("USB to serial", "1a86:7523:A1")


def test_a_port_that_can_be_opened_has_no_trouble(pty):
    assert ports.why_not(pty) == ""


def test_a_missing_port_asks_for_cable_and_switch():
    assert "cable" in ports.why_not("/dev/no-such-port")


def test_a_file_is_not_a_port(tmp_path):
    assert ports.why_not(str(tmp_path)) == "this is not a serial port"


def test_a_forbidden_port_names_the_group_and_the_command(pty, monkeypatch):
    monkeypatch.setattr(os, "access", lambda *_: False)
    trouble = ports.why_not(pty)
    assert "group tty" in trouble or "group root" in trouble
    assert "sudo usermod -a -G" in trouble
    assert "log out" in trouble


def test_a_busy_port_names_the_process_that_has_it(pty):
    hold = "import sys; f = open(sys.argv[1], 'rb', buffering=0); print('open', flush=True); sys.stdin.read()"
    holder = subprocess.Popen(
        [sys.executable, "-c", hold, pty], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    )
    try:
        assert holder.stdout.readline() == b"open\n"
        assert f"process {holder.pid}" in ports.why_not(pty)
    finally:
        holder.stdin.close()
        holder.wait()
        holder.stdout.close()


def test_the_same_port_is_not_opened_twice(pty):
    transport = open_port(pty, 115200)
    with pytest.raises(LinkLost, match="in use"):
        open_port(pty, 115200)
    transport.close()
    open_port(pty, 115200).close()


def test_a_device_that_comes_back_under_another_path_is_found_by_its_identity(pty, monkeypatch):
    here = [info("/dev/gone", 0x1A86, 0x7523, "A1")]
    monkeypatch.setattr(ports.list_ports, "comports", lambda: here)
    opened = []
    monkeypatch.setattr("drivers.same_device.open_port", lambda url, baud: opened.append((url, baud)))
    same = SameDevice("/dev/gone", 250000)
    same()
    here[:] = [info("/dev/gone", 0x1A86, 0x7523, "B2"), info("/dev/new", 0x1A86, 0x7523, "A1")]
    same()
    assert opened == [("/dev/gone", 250000), ("/dev/new", 250000)]
    here.pop()
    with pytest.raises(LinkLost, match=r"1a86:7523:A1\) is not plugged in"):
        same()
    assert len(opened) == 2


def test_a_device_that_was_pulled_out_is_there_again_under_whatever_path_once_it_can_be_opened(
    pty, monkeypatch
):
    """Not while it is gone, not while it is forbidden, not while the list of devices cannot be read."""
    here = [info("/dev/gone", 0x1A86, 0x7523, "A1")]
    monkeypatch.setattr(ports.list_ports, "comports", lambda: here)
    monkeypatch.setattr("drivers.same_device.open_port", lambda url, baud: None)
    same = SameDevice("/dev/gone", 115200)
    same()
    here.clear()
    assert not same.is_there()
    here.append(info(pty, 0x1A86, 0x7523, "A1"))
    assert same.is_there()
    monkeypatch.setattr("drivers.serial_port._is_pty", lambda url: False)
    monkeypatch.setattr(os, "access", lambda path, mode: False)
    assert not same.is_there()
    monkeypatch.setattr(ports.list_ports, "comports", lambda: (_ for _ in ()).throw(OSError("changed")))
    assert not same.is_there()


def test_a_host_is_there_when_it_can_be_called():
    with socket.create_server(("127.0.0.1", 0)) as listener:
        same = SameDevice(f"socket://127.0.0.1:{listener.getsockname()[1]}", 115200)
        assert same.is_there()
    assert not same.is_there()
    assert not SameDevice("rfc2217://nowhere", 115200).is_there()
