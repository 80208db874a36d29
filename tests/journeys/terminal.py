"""A program on a pseudo-terminal, read through a terminal emulator.

Nothing here waits on the clock: it waits for what stands on the screen, or for a program to end.
`LIMIT_S` only keeps a test from hanging.
"""

from __future__ import annotations

import fcntl
import os
import select
import signal
import struct
import subprocess
import termios
import time
from collections.abc import Callable, Mapping, Sequence
from typing import TypeVar

import pyte
import pytest

LIMIT_S = 40.0
CALM_S = 0.03
"""Without a byte for so long, a picture that came in pieces is taken to be whole."""

Found = TypeVar("Found")


class Terminal:
    """A program on a terminal of `columns` x `rows` characters. `screen` is what a person sees.

    ended: whether nobody holds it open any more; received: how many bytes have come.
    """

    def __init__(
        self,
        argv: Sequence[object],
        environ: Mapping[str, str] | None = None,
        columns: int = 80,
        rows: int = 24,
    ) -> None:
        self.screen = pyte.Screen(columns, rows)
        self._stream = pyte.ByteStream(self.screen)
        self._process: subprocess.Popen[bytes] | None = None
        self._master, slave = os.openpty()
        self.tell_size(columns, rows)
        self._process = subprocess.Popen(
            [str(word) for word in argv],
            stdin=slave,
            stdout=slave,
            stderr=slave,
            start_new_session=True,
            preexec_fn=_have_terminal,  # noqa: PLW1509 -- one call, before anything else of the child runs
            env={**_without_a_size(os.environ), "TERM": "xterm-256color", **(environ or {})},
        )
        os.close(slave)
        self.ended = False
        self.received = 0

    def tell_size(self, columns: int = 80, rows: int = 24) -> None:
        """Tell how many characters there is room for: at the start, resized, or the same again."""
        self.screen.resize(rows, columns)
        fcntl.ioctl(self._master, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        if self._process is not None:
            os.killpg(self._process.pid, signal.SIGWINCH)

    def row(self, number: int) -> str:
        """Return one row of the screen, 0 the uppermost, -1 the lowest."""
        return self.screen.display[number % self.screen.lines]

    def text(self) -> str:
        """Return the whole screen."""
        return "\n".join(self.screen.display)

    def type(self, text: str) -> None:
        """Press keys."""
        os.write(self._master, text.encode())

    def until(self, look: Callable[[], Found | None]) -> Found:
        """Read on until `look` finds something on a picture that is whole; return it."""
        end = time.monotonic() + LIMIT_S
        while time.monotonic() < end:
            if not self._read(CALM_S) and (found := look()):
                return found
            if self.ended:
                pytest.fail(f"ended before that was seen:\n{self.text()}")
        return pytest.fail(f"was never seen:\n{self.text()}")

    def shows(self, text: str) -> None:
        """Read on until `text` stands on the screen."""
        self.until(lambda: text in self.text())

    def ends(self) -> int:
        """Read all that is still shown; return the exit code (minus the signal that ended it)."""
        end = time.monotonic() + LIMIT_S
        while not self.ended and time.monotonic() < end:
            self._read(CALM_S)
        return self._process.wait(LIMIT_S)

    def kill(self) -> None:
        """End the program at once, and with it its terminal."""
        self._process.send_signal(signal.SIGKILL)
        self._process.wait(LIMIT_S)

    def give_up(self) -> None:
        """End it, however it stands."""
        if self._process.poll() is None:
            self.kill()
        os.close(self._master)

    def _read(self, calm_s: float) -> bool:
        """Take in what comes within `calm_s`; return whether anything came."""
        if self.ended or not select.select([self._master], [], [], calm_s)[0]:
            return False
        try:
            data = os.read(self._master, 65536)
        except OSError:  # the other end of a terminal that nobody holds open any more
            data = b""
        self.ended = not data
        self.received += len(data)
        self._stream.feed(data)
        return bool(data)


def _without_a_size(environ: Mapping[str, str]) -> dict[str, str]:
    """Return an environment that tells no size, which would hide the terminal's own."""
    return {name: value for name, value in environ.items() if name not in ("COLUMNS", "LINES")}


def _have_terminal() -> None:
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)
