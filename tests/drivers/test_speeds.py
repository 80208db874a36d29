"""Finding the speed of a line."""

from __future__ import annotations

import os
import tty

import pytest
import serial
from hypothesis import given
from hypothesis import strategies as st

from drivers.serial_port import open_port
from drivers.speeds import QUESTION, find_speed, makes_sense


class Tuned:
    """A transport that answers sense at one speed and noise at the others."""

    name, may_reset = "tuned", True

    def __init__(self, speed: int, right: int) -> None:
        self.answers = [b"", b"start\nok T:20.0 /0.0\n"] if speed == right else [b"\xf8\x00\n", b"\x80\x86\n"]
        self.closed = False

    def read(self) -> bytes:
        return self.answers.pop(0) if self.answers else b""

    def write(self, data: bytes) -> None:
        assert data == QUESTION

    def close(self) -> None:
        self.closed = True


@pytest.mark.parametrize(("right", "found"), [(250000, 250000), (9600, 9600), (1, None)])
def test_the_first_speed_with_an_answer_that_makes_sense_is_taken(right, found):
    opened = []

    def opener(url, speed):
        opened.append(Tuned(speed, right))
        return opened[-1]

    assert find_speed("/dev/pretended", per_speed_s=0.01, opener=opener) == found
    assert all(transport.closed for transport in opened)


@given(st.binary(max_size=40).filter(lambda line: b"ok" not in line.lower()))
def test_noise_does_not_make_sense(line):
    """Lines of noise that happen to be an answer are rarer than any speed; `ok` alone is two bytes."""
    noise = bytes(byte | 0x80 for byte in line)
    assert not makes_sense(noise)


def test_a_speed_that_is_no_standard_one_can_be_set():
    """250000 has no constant of its own in POSIX; Linux takes any number."""
    master, slave = os.openpty()
    tty.setraw(slave)
    try:
        transport = open_port(os.ttyname(slave), 250000)
        os.write(master, b"ok\n")
        assert transport.read() == b"ok\n"
        assert isinstance(transport._port, serial.Serial)
        assert transport._port.baudrate == 250000
        transport.close()
    finally:
        os.close(master)
        os.close(slave)
