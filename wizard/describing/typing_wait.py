"""Waiting for a person to type, so that an interrupt at any moment ends the wait.

A read alone misses an interrupt that comes in the instant before it, and goes on waiting for a key.
"""

from __future__ import annotations

import os
import select
import signal
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager


def typed_line(prompt: str) -> str:
    """Print `prompt` and return the next line without its end, as `input` does. Raises EOFError."""
    if sys.stdin is None or not sys.stdin.isatty():
        return input(prompt)
    print(prompt, end="", flush=True)
    wait_for_typing(sys.stdin.fileno())
    line = sys.stdin.readline()
    if not line:
        raise EOFError
    return line.rstrip("\n")


def wait_for_typing(number: int) -> None:
    """Return once something can be read from a terminal. Raises KeyboardInterrupt."""
    if os.name != "posix" or threading.current_thread() is not threading.main_thread():
        return
    with _woken_by_signals() as woken:
        select.select([number, woken], [], [])


@contextmanager
def _woken_by_signals() -> Iterator[int]:
    """Give a descriptor from which can be read once a signal has come."""
    woken, wakes = os.pipe()
    os.set_blocking(wakes, False)
    before = signal.set_wakeup_fd(wakes, warn_on_full_buffer=False)
    try:
        yield woken
    finally:
        signal.set_wakeup_fd(before)
        os.close(woken)
        os.close(wakes)
