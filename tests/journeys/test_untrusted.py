"""What a machine says is shown literally, by programs of their own: as lines, on screens, in the record."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from drivers.simulated import SimulatedPrinter
from drivers.simulated.noise import Noise
from drivers.simulated.operator import Operator
from drivers.simulated.serve import PtyServer
from profiles.load import load
from tests.journeys.at_screen import AtScreen
from tests.journeys.program import Program
from tests.journeys.terminal import Terminal

PROFILE, SPEED = "four-corner-220", 5000
HOSTILE = b"echo:[b]note[/b] \x1b]2;owned\x07\x1b[2J\x1b[31m \x00\x9b31m \xe2\x80\xae%s {0}\r\n"
LONG = b"echo:" + b"A" * 100_000 + b"\n"


class Hostile(Noise):
    """Before each answer the machine also says what no terminal should obey; once, a very long line."""

    def __init__(self) -> None:
        super().__init__(0.0)
        self.long = LONG

    def on_answers(self, data: bytes) -> bytes:
        if b"\n" not in data:
            return data
        said, self.long = HOSTILE + self.long + HOSTILE, b""
        return said + data

    def on_blocks(self, data: bytes) -> bytes:
        return data


@pytest.fixture
def hostile(monkeypatch: pytest.MonkeyPatch) -> Iterator[PtyServer]:
    monkeypatch.setattr("drivers.simulated.serve._KEPT", 4_000_000)
    printer = SimulatedPrinter(load(PROFILE), 7, SPEED)
    with PtyServer(printer, Hostile()) as server:
        yield server


def test_as_lines_of_text(
    hostile: PtyServer, run: Callable[..., Program], person: Callable[..., Any], tmp_path: Path
) -> None:
    """The line log is on; every line is printable and short, and the job goes on to its first reading."""
    program = run("level", PROFILE, "--port", hostile.url, "--plain", "--speed", SPEED, "--nozzle", "brass")
    program.type("log")
    somebody = person(PROFILE, Operator(hostile.printer, 7))
    while (page := program.question()) is not None and "leaf" not in page.title:
        program.type(somebody.answer(page))
    program.type("stop")
    program.ends()
    assert any("[b]note[/b] ·]2;owned·" in line for line in program.said)
    assert any("AAAA" in line for line in program.said)
    assert all(line.isprintable() for line in program.said)
    assert max(len(line) for line in program.said) < 500
    (journal,) = (tmp_path / "runs").glob("*.jsonl")
    assert b"\x1b" not in journal.read_bytes()


def test_on_the_screens(hostile: PtyServer, person: Callable[..., Any], tmp_path: Path) -> None:
    """A terminal emulator sees no title set and nothing cleared; the log shows the marks as text."""
    argv = ("level", PROFILE, "--port", hostile.url, "--speed", SPEED, "--nozzle", "brass")
    terminal = Terminal([sys.executable, "-m", "wizard", *argv], {"TRAMWRIGHT_HOME": str(tmp_path)})
    try:
        desk = AtScreen(person(PROFILE, Operator(hostile.printer, 7)), terminal)
        while "G28" not in hostile.printer.record.blocks:
            desk.answer(desk.question())
        terminal.type("l")
        terminal.shows("[b]note[/b]")
        assert "owned" not in terminal.screen.title
        terminal.type("x")
        terminal.shows("Stop")
    finally:
        terminal.give_up()
