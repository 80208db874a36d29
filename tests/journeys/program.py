"""A program that is typed at and read line by line.

Nothing here waits on the clock: it waits for a line of text, or for a program to end. `LIMIT_S` only
keeps a test from hanging.
"""

from __future__ import annotations

import os
import queue
import re
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

LIMIT_S = 40.0
ROW = re.compile(r" {2}type (\S+): (.+)")
STATUS_END = " sent again"
REFUSED = " is no answer here"


class Page(NamedTuple):
    """What a program shows: its title, what stands below it as one text, and keys with their labels."""

    title: str
    body: str
    keys: dict[str, str]

    def key(self, label: str) -> str | None:
        """Return the key whose label contains `label`."""
        return next((key for key, told in self.keys.items() if label in told), None)

    def other_than(self, key: str) -> str:
        """Return the first other key."""
        return next(each for each in self.keys if each != key)


class Program:
    """A program that is typed at and read line by line. `said` is all it has said so far."""

    def __init__(self, argv: tuple[str, ...], home: Path) -> None:
        self.said: list[str] = []
        self._lines: queue.Queue[str | None] = queue.Queue()
        self._process = subprocess.Popen(
            [sys.executable, "-m", "wizard", *argv],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            env={**os.environ, "TRAMWRIGHT_HOME": str(home)},
        )
        threading.Thread(target=self._read, daemon=True).start()

    def _read(self) -> None:
        assert self._process.stdout is not None
        for line in self._process.stdout:
            self._lines.put(line.rstrip("\n"))
        self._lines.put(None)

    def line(self) -> str | None:
        """Return the next line; None once the program has said its last."""
        try:
            line = self._lines.get(timeout=LIMIT_S)
        except queue.Empty:
            pytest.fail(f"said nothing more after: {self.said[-20:]}")
        if line is None:
            self._lines.put(None)
        else:
            self.said.append(line)
        return line

    def until(self, text: str) -> str:
        """Read on to the line with `text` in it and return that line."""
        while (line := self.line()) is not None:
            if text in line:
                return line
        return pytest.fail(f"never said {text!r}: {self.said[-20:]}")

    def type(self, text: str) -> None:
        """Type one line."""
        assert self._process.stdin is not None
        self._process.stdin.write(text + "\n")
        self._process.stdin.flush()

    def signal(self, number: signal.Signals) -> None:
        """Send a signal."""
        self._process.send_signal(number)

    def ends(self) -> int:
        """Read all that is still said; return the exit code (minus the signal that ended it)."""
        while self.line() is not None:
            pass
        return self._process.wait(LIMIT_S)

    def close_typing(self) -> None:
        """End its standard input."""
        assert self._process.stdin is not None
        self._process.stdin.close()

    def give_up(self) -> None:
        """End it, however it stands."""
        if self._process.poll() is None:
            self._process.kill()
        self._process.wait(LIMIT_S)

    def question(self) -> Page | None:
        """Read on to the next thing to be answered; None where the program has ended.

        All its keys are there once `status`, typed at the first, is answered.
        """
        title, body = "", []
        while (line := self.line()) is not None:
            if REFUSED in line:
                pytest.fail(f"was refused: {self.said[-20:]}")
            if line == "":
                title, body = (self.line() or "").removeprefix("[simulated] "), []
            elif title and ROW.fullmatch(line):
                self.type("status")
                return Page(title, " ".join(body), dict(self._keys(line)))
            elif line.startswith("... "):
                title = ""
            else:
                body.append(line.strip())
        return None

    def _keys(self, line: str | None) -> Iterator[tuple[str, str]]:
        while line is not None and STATUS_END not in line:
            if row := ROW.fullmatch(line):
                yield row[1], row[2]
            line = self.line()
