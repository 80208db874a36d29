"""A person at a terminal describes the simulated printer: it tells, shows places, and learns a direction."""

from __future__ import annotations

import os
import pty
import re
import select
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from profiles.load import load

PATIENCE_S = 60.0
SIMULATE = (
    sys.executable,
    "-m",
    "wizard",
    "simulate",
    "four-corner-220",
    "--speed",
    "200",
    "--start",
    "level",
)


class Terminal:
    """The new profile's questions at a pseudo-terminal; `until` waits for words, `say` types."""

    def __init__(self, argv: tuple[str, ...], env: dict[str, str]) -> None:
        self._master, slave = pty.openpty()
        self.process = subprocess.Popen(
            argv, stdin=slave, stdout=slave, stderr=slave, env=env, start_new_session=True
        )
        os.close(slave)
        self.text = ""
        self._read_to = 0

    def until(self, words: str) -> str:
        """Return what was printed since the last wait, up to these words."""
        while words not in self.text[self._read_to :]:
            ready, _, _ = select.select([self._master], [], [], PATIENCE_S)
            assert ready, f"waited for {words!r}; at the end stood {self.text[-600:]!r}"
            try:
                self.text += os.read(self._master, 4096).decode()
            except OSError:
                pytest.fail(f"it ended while {words!r} was waited for: {self.text[-600:]!r}")
        end = self.text.index(words, self._read_to) + len(words)
        since, self._read_to = self.text[self._read_to : end], end
        return since

    def say(self, text: str) -> None:
        os.write(self._master, text.encode())

    def answer(self, question: str, text: str = "") -> None:
        self.until(question)
        self.until(": ")
        self.say(text + "\n")

    def interrupt(self) -> None:
        os.killpg(self.process.pid, signal.SIGINT)

    def end(self) -> int:
        """Read on until it ends; return the exit code."""
        while True:
            try:
                self.text += os.read(self._master, 4096).decode()
            except OSError:
                break
        os.close(self._master)
        return self.process.wait(PATIENCE_S)


class Simulated:
    """The simulated printer as a process of its own, with its hand."""

    def __init__(self, env: dict[str, str]) -> None:
        self.process = subprocess.Popen(
            SIMULATE, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=env
        )
        assert self.process.stdout is not None
        line = self.process.stdout.readline()
        found = re.search(r"--port (\S+)", line)
        assert found, line
        self.port = found[1]

    def hand(self, line: str, lines: int = 1) -> str:
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.write(line + "\n")
        self.process.stdin.flush()
        return "".join(self.process.stdout.readline() for _ in range(lines))


@pytest.fixture
def env(tmp_path: Path) -> dict[str, str]:
    return {**os.environ, "TRAMWRIGHT_HOME": str(tmp_path), "TERM": "xterm"}


@pytest.fixture
def simulated(env: dict[str, str]) -> Iterator[Simulated]:
    simulated = Simulated(env)
    yield simulated
    simulated.process.kill()
    simulated.process.communicate()


@pytest.fixture
def terminal(simulated: Simulated, env: dict[str, str]) -> Iterator[Terminal]:
    terminal = Terminal(
        (sys.executable, "-m", "wizard", "profiles", "new", "Mine", "--port", simulated.port), env
    )
    yield terminal
    terminal.process.kill()
    terminal.process.wait()


def up_to_the_places(terminal: Terminal) -> None:
    """Answer all that comes before places are shown, from the plate's shape on."""
    terminal.until(": ")
    terminal.say("\n")
    terminal.answer("Size along X", "220 220")
    for question in (
        "Its front left",
        "Material",
        "Thickness",
        "Held hard",
        "X, least",
        "Y, least",
        "Z, floor",
    ):
        terminal.answer(question)
    for question in ("Clearance", "Speed of", "Speed up", "Layer", "Gap wanted", "Tolerance", "Plate: never"):
        terminal.answer(question)
    for question in ("Plate: temp", "Nozzle: never", "Nozzle: temp", "Minutes", "Leaves", "Thickness of one"):
        terminal.answer(question)


def touching(terminal: Terminal, simulated: Simulated) -> None:
    """Lower until a thing of 2 mm just touches, as a careful person would."""
    while True:
        terminal.until("  Z ")
        terminal.until("\n")
        passes = simulated.hand("daylight 2") == "passes\n"
        height_mm = float(simulated.hand("state", 2).split("Z")[1].split(",")[0])
        if not passes:
            terminal.say("t")
            return
        terminal.say("1" if height_mm > 3.8 else "2" if height_mm < 2.4 else "\n")


def test_a_simulated_printer_is_described_by_parking_and_one_trial_turn(
    terminal: Terminal, simulated: Simulated, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = terminal.until("Shape")
    assert "KIND: SIMULATED printer, nothing real moves" in told
    assert "end stops: x_min" in told
    assert "heated plate: yes" in told
    up_to_the_places(terminal)
    terminal.answer("Show places")
    terminal.until("The axes will move")
    terminal.answer("Hands clear", "yes")
    terminal.answer("Supports", "4")
    terminal.answer("They are")
    terminal.answer("Thread")
    terminal.answer("Clockwise: what", "unknown")
    for question in ("Clockwise is", "What is gripped", "Finest", "Turns left"):
        terminal.answer(question)
    terminal.answer("Name of number 1")
    terminal.answer("front left, X Y", "t")
    for pressed in ("2", "l", "\x1b[B", "4", "l", "\n"):  # 1 mm left and to the front; 50 mm left is refused
        terminal.until("step ")
        terminal.until("\n")
        terminal.say(pressed)
    for name in ("front right", "back right", "back left"):
        terminal.answer("Name of")
        terminal.answer(f"{name}, X Y")
    terminal.answer("Proposed")
    terminal.answer("Read these too")
    terminal.answer("How it is changed")
    terminal.answer("Does the machine touch")
    terminal.answer("Learn what clockwise")
    terminal.answer("Hands clear", "yes")
    touching(terminal, simulated)
    terminal.until("Done")
    simulated.hand("turn front left 1")
    terminal.say("yes\n")
    touching(terminal, simulated)
    terminal.until("anticlockwise")
    terminal.until(": ")
    simulated.hand("turn front left -1")
    terminal.say("yes\n")
    terminal.answer("Are the others built")
    assert terminal.end() == 0, terminal.text[-800:]
    assert "X-20.0 mm" not in terminal.text
    assert "is outside the profile's 0 to 220 mm" in terminal.text
    assert "Clockwise lowers the plate there" in terminal.text
    assert simulated.hand("record") == "nothing recorded\n"
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    machine = load("mine")
    assert machine.adjuster[0].at_mm == (29.8, 29.8)
    assert {adjuster.clockwise for adjuster in machine.adjuster} == {"lowers"}
    assert [point.name for point in machine.levelling_points][-1] == "middle"


def test_an_interrupt_stops_the_machine_and_writes_nothing(
    terminal: Terminal, simulated: Simulated, tmp_path: Path
) -> None:
    terminal.until("Shape")
    up_to_the_places(terminal)
    terminal.answer("Show places")
    terminal.answer("Hands clear", "yes")
    terminal.until("Supports")
    terminal.interrupt()
    assert terminal.end() == 130
    assert list(tmp_path.rglob("*.toml")) == []
    assert "homed" in simulated.hand("state", 2)
    assert "not homed" in simulated.hand("state", 2)
