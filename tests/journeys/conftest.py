"""Whole jobs as a person runs them: programs of their own, typed at and read, over a real line.

Nothing here waits on the clock: it waits for a line of text, or for a program to end. `LIMIT_S` only
keeps a test from hanging.
"""

from __future__ import annotations

import asyncio
import os
import queue
import re
import signal
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any, NamedTuple, Protocol

import pytest

from drivers.simulated import SimulatedPrinter
from drivers.simulated.operator import Operator
from drivers.simulated.serve import Server, TcpServer, local_server
from profiles.load import load
from profiles.machine import Machine
from wizard.assembly import Assembly
from wizard.facts import Facts
from wizard.journal import start
from wizard.record import Header
from wizard.virtual_job import Done, do_alone

LIMIT_S = 40.0
SPEED = 5000.0
ROW = re.compile(r" {2}type (\S+): (.+)")
TURN = re.compile(r"(?:about )?(?:(\d+) and )?(\d+)(?:/(\d+))? turns? (anticlockwise|clockwise)")
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


class Bench(Protocol):
    """What hands can do at a machine."""

    def daylight(self, thick_mm: float) -> bool: ...
    def enters(self, leaf_mm: float) -> bool: ...
    def feel(self, card_mm: float) -> str: ...
    def turn(self, adjuster: str, turns: float) -> object: ...


class HandsByWord:
    """The virtual hands that `simulate` and `demo --plain` lend, each called by a typed line."""

    def __init__(self, program: Program) -> None:
        self._program = program

    def _found(self, words: str, sign: str) -> str:
        self._program.type(words)
        return self._program.until(sign)

    def daylight(self, thick_mm: float) -> bool:
        return self._found(f"daylight {thick_mm:g}", "pass") == "passes"

    def enters(self, leaf_mm: float) -> bool:
        return "will not enter" not in self._found(f"leaf {leaf_mm:g}", f"{leaf_mm:g} mm leaf: ")

    def feel(self, card_mm: float) -> str:
        return self._found("card", " mm card: ").rpartition(": ")[2]

    def turn(self, adjuster: str, turns: float) -> object:
        return self._found(f"turn {adjuster} {turns:+g}", f"{adjuster}: turned about")


class Person:
    """Reads what the program asks, as anybody would, does it with their hands and types the answer."""

    def __init__(self, machine: Machine, hands: Bench, gauge: str = "leaves") -> None:
        self.machine = machine
        self.hands = hands
        self.gauge = gauge
        self.turned: list[dict[str, float]] = []

    def answer(self, page: Page) -> str:
        """Do what the page says and return what is typed then."""
        if through := page.key("daylight"):
            return through if self.hands.daylight(_millimetres(page.title)) else page.other_than(through)
        if "leaf" in page.title:
            return self._leaf()
        if page.key("tight"):
            return page.key(self.hands.feel(_millimetres(page.title))) or ""
        if turns := self._told_turns(page):
            self._turn(turns)
        return self._choice(page)

    def do(self, program: Program) -> int:
        """Answer until the program ends; return its exit code."""
        while (page := program.question()) is not None:
            program.type(self.answer(page))
        return program.ends()

    def _leaf(self) -> str:
        low: float | None = None
        for leaf in self.machine.gauge.leaves_mm:
            if not self.hands.enters(leaf):
                return f"<{leaf:g}" if low is None else f"{low:g}-{leaf:g}"
            low = leaf
        return f">{low:g}"

    def _told_turns(self, page: Page) -> dict[str, float]:
        names = "|".join(sorted((a.name for a in self.machine.adjuster), key=len, reverse=True))
        turns = {}
        for told in re.finditer(rf"({names}): {TURN.pattern}", f"{page.title} {page.body}"):
            name, whole, top, bottom, way = told.groups()
            amount = int(whole or 0) + int(top) / int(bottom or 1)
            turns[name] = amount if way == "clockwise" else -amount
        return turns if page.key("turned as told") else {}

    def _turn(self, turns: dict[str, float]) -> None:
        for name, amount in turns.items():
            self.hands.turn(name, amount)
        self.turned.append(turns)

    def _choice(self, page: Page) -> str:
        wanted = (self.gauge, "not sure: read it again", "make the turns all the same", "end here")
        found = (page.key(label) for label in wanted)
        return next((key for key in found if key is not None), next(iter(page.keys)))


def _millimetres(text: str) -> float:
    found = re.search(r"([\d.]+) mm", text)
    assert found, text
    return float(found[1])


class Bed(NamedTuple):
    """A simulated printer that outlives the programs that drive it. `blocks`: what it carried out, in order."""

    printer: SimulatedPrinter
    server: Server
    hands: Operator
    blocks: list[str]

    @property
    def worst_mm(self) -> float:
        """The simulated plate's own worst deviation."""
        with self.printer.lock:
            return self.printer.plate.true_worst_deviation_mm

    @property
    def tolerance_mm(self) -> float:
        return self.printer.machine.first_layer.tolerance_mm

    def is_cold_and_lifted(self) -> tuple[bool, bool]:
        """Return whether both heaters are off, and whether the nozzle truly stands at clearance or above."""
        with self.printer.lock:
            z_mm = self.printer.nozzle_mm()[2]
            machine = self.printer.firmware.interpreter
            cold = machine.bed.target_c == machine.nozzle.target_c == 0.0
        return cold, z_mm >= self.printer.machine.motion.clearance_mm - 1e-6


@pytest.fixture
def run(tmp_path: Path) -> Iterator[Callable[..., Program]]:
    """Start a program with its records in a folder of this test's own."""
    with ExitStack() as ends:

        def begin(*argv: object) -> Program:
            program = Program(tuple(str(word) for word in argv), tmp_path)
            ends.callback(program.give_up)
            return program

        yield begin


@pytest.fixture
def bed() -> Iterator[Callable[..., Bed]]:
    """Serve a simulated printer in this process and lend hands at it."""
    with ExitStack() as ends:

        def serve(profile: str, seed: int = 1, start: Any = "snugged", tcp: bool = False) -> Bed:
            printer = SimulatedPrinter(load(profile), seed, SPEED, start)
            blocks = _noted(printer)
            server = TcpServer(printer) if tcp else local_server(printer)
            return Bed(printer, ends.enter_context(server), Operator(printer, seed), blocks)

        yield serve


def _noted(printer: SimulatedPrinter) -> list[str]:
    """Note the first word of each block that the machine carries out."""
    interpreter = printer.firmware.interpreter
    carry_out, blocks = interpreter.run, []

    def run_and_note(block: Any, now: float) -> Any:
        blocks.append(block.code)
        return carry_out(block, now)

    interpreter.run = run_and_note  # type: ignore[method-assign]
    return blocks


@pytest.fixture
def level(run: Callable[..., Program]) -> Callable[..., Program]:
    """Start `level` on a bed, line by line."""

    def begin(bed: Bed, profile: str, *more: str) -> Program:
        return run("level", profile, "--port", bed.server.url, "--plain", "--speed", SPEED, *more)

    return begin


@pytest.fixture
def person() -> Callable[..., Person]:
    """Make a person who reads, does and types; hands at a bed of this process, or lent by a program."""

    def make(profile: str, hands: Any, gauge: str = "leaves") -> Person:
        return Person(load(profile), HandsByWord(hands) if isinstance(hands, Program) else hands, gauge)

    return make


@pytest.fixture
def alone(bed: Callable[..., Bed], tmp_path: Path) -> Callable[..., tuple[Done, Bed]]:
    """Let the virtual operator do a whole job in this process, over the line, as `demo --auto` does."""

    def do(profile: str, seed: int, start_as: str = "snugged") -> tuple[Done, Bed]:
        there = bed(profile, seed, start_as)
        journal = start(Header("level", there.printer.machine, port=there.server.url), tmp_path)
        facts = Facts(there.printer.machine, simulated=True)
        assembly = Assembly(facts=facts, journal=journal, source=there.server.url, speed=SPEED)
        return asyncio.run(do_alone(there.printer, seed, assembly, lambda _: None)), there

    return do
