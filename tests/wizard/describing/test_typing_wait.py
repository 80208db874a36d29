"""An interrupt at any moment ends the wait for a person."""

from __future__ import annotations

import os
import pty
import signal
from collections.abc import Iterator

import pytest

from wizard.describing import typing_wait


@pytest.fixture
def terminal() -> Iterator[tuple[int, int]]:
    master, slave = pty.openpty()
    yield master, slave
    os.close(master)
    os.close(slave)


def test_it_returns_once_a_line_is_there(terminal: tuple[int, int]) -> None:
    master, slave = terminal
    os.write(master, b"0.15\n")
    typing_wait.wait_for_typing(slave)
    assert os.read(slave, 10) == b"0.15\n"


def test_an_interrupt_in_the_instant_before_the_wait_is_not_missed(
    terminal: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The signal comes when Python has looked for signals for the last time and is about to sleep."""
    _, slave = terminal
    came: list[int] = []
    woken: list[bool] = []
    before = signal.signal(signal.SIGINT, lambda number, _: came.append(number))
    sleep = typing_wait.select.select

    def last_instant(*waits: list[int]) -> object:
        os.kill(os.getpid(), signal.SIGINT)
        ready = sleep(*waits, 0.0)
        woken.append(bool(ready[0]))
        return ready

    monkeypatch.setattr(typing_wait.select, "select", last_instant)
    try:
        typing_wait.wait_for_typing(slave)
    finally:
        signal.signal(signal.SIGINT, before)
    assert came == [signal.SIGINT]
    assert woken == [True]


def test_what_others_had_set_up_for_signals_is_left_as_it_was(terminal: tuple[int, int]) -> None:
    master, slave = terminal
    reading, writing = os.pipe()
    os.set_blocking(writing, False)
    old = signal.set_wakeup_fd(writing)
    try:
        os.write(master, b"\n")
        typing_wait.wait_for_typing(slave)
        assert signal.set_wakeup_fd(-1) == writing
    finally:
        signal.set_wakeup_fd(old)
        os.close(reading)
        os.close(writing)
