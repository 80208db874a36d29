"""A person who types, and a printer that moves over a made-up plate: for the line-by-line mode."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from typing import Any

import pytest

from drivers.interface import Identity, LineRecord, Status, Temperatures
from profiles.machine import Machine, Point
from wizard import requests as ask
from wizard.facts import Facts
from wizard.instructions import page
from wizard.journal.lines import Header
from wizard.journal.writing import Journal
from wizard.plain import PlainOperator
from wizard.procedures.level import level
from wizard.readings import written
from wizard.running.events import Asked, Event
from wizard.running.session import Session

FAST = 1e6


class PlatePrinter:
    """Carries out what a session asks over a made-up plate. `fault` is raised by the next homing."""

    def __init__(self, plate: Any) -> None:
        self.plate = plate
        self.status = Status(temperatures=Temperatures(20.0, 60.0, 20.0, 0.0))
        self.done: list[str] = []
        self.fault: Exception | None = None
        self.hold: asyncio.Event | None = None

    def watch(self, on_status: Callable[[Status], None], on_line: Callable[[LineRecord], None]) -> None:
        self.on_status, self.on_line = on_status, on_line

    async def connect(self) -> Identity:
        self.on_line(LineRecord("<", "start \x1b[2J"))
        self.done.append("connect")
        return Identity("made up", {"name": "\x1b[31mred"}, simulated=True)

    async def warm(self, bed_c: float, nozzle_c: float) -> None:
        for celsius in (24.0, 26.0, 58.0, 60.0):
            self.on_status(Status(temperatures=Temperatures(celsius, bed_c, 20.0, 0.0)))
        self.done.append("warm")

    async def home(self) -> None:
        self.done.append("home")
        if self.fault is not None:
            fault, self.fault = self.fault, None
            raise fault
        if self.hold is not None:
            await self.hold.wait()

    async def park(self, point: Point, z_mm: float) -> None:
        self.plate.move(point.name, z_mm)

    async def lower(self, z_mm: float) -> None:
        self.plate.move(self.plate.at[0], z_mm)

    async def lift(self) -> None:
        self.done.append("lift")

    async def set_height(self, change_mm: float) -> None:
        self.done.append("set height")

    async def store(self) -> None:
        self.done.append("store")

    async def cool(self) -> None:
        self.done.append("cool")

    def stop(self) -> None:
        self.done.append("stop")

    async def make_safe(self, *, keep_hot: bool = False) -> None:
        self.done.append("made safe" + " and hot" * keep_hot)

    async def come_back(self) -> None:
        await asyncio.Event().wait()

    async def close(self) -> None:
        self.done.append("closed")


class Bench:
    """A person at a plain terminal: `said` is what was read there; lines are typed as steps are asked.

    instead: by request type, lines to type in place of the true answer, the first times it is asked.
    """

    def __init__(self, plate: Any, gauge: str = "leaf") -> None:
        self.plate = plate
        self.gauge = gauge
        self.said: list[str] = []
        self.asked: list[ask.AnyRequest] = []
        self.instead: dict[type, list[str | None]] = {}
        self.printer = PlatePrinter(plate)
        self.operator = PlainOperator(self._say)
        self._news = asyncio.Event()
        self._typed: asyncio.Queue[str | None] = asyncio.Queue()
        header = Header("level", plate.machine)
        facts = Facts(plate.machine)
        self.session = Session(level, facts, self.printer, Journal(header), self.hear, speed=FAST)

    @property
    def text(self) -> str:
        """All that was said, as one text."""
        return "\n".join(self.said)

    def hear(self, event: Event) -> None:
        """Have the operator say the event; type a line where something is asked."""
        self.operator.listen(event)
        if isinstance(event, Asked):
            self.asked.append(event.request)
            self._answer(event)

    def _say(self, line: str) -> None:
        self.said.append(line)
        self._news.set()

    async def until_said(self, words: str) -> None:
        """Wait until a line with these words was said."""
        while not any(words in line for line in self.said):
            self._news.clear()
            await self._news.wait()

    def type(self, line: str | None) -> None:
        """Type a line; None is the end of typing."""
        self._typed.put_nowait(line)

    async def lines(self) -> AsyncIterator[str]:
        """Yield the lines as they are typed."""
        while (line := await self._typed.get()) is not None:
            yield line

    async def run(self) -> ask.Outcome:
        """Do the job."""
        return await self.operator.drive(self.session, self.lines())

    def _answer(self, event: Asked) -> None:
        for line in self.instead.get(type(event.request), []):
            self.type(line)
        if not self.instead.pop(type(event.request), None):
            self.type(self._true_words(event))

    def _true_words(self, event: Asked) -> str:
        answer = self.plate.answer(event.request, self.gauge)
        match answer:
            case ask.ReadingTaken():
                return written(answer.reading)
            case ask.Chosen():
                return answer.option
        shown = page(event.request, event.facts)
        return next("ok" if c.key == "enter" else c.key for c in shown.choices if c.answer == answer)


@pytest.fixture
def bench(machine: Machine, make_plate: Callable[..., Any]) -> Bench:
    """Return a bench with a snugged-down bed."""
    return Bench(make_plate(machine, 1))


@pytest.fixture
def make_bench() -> type[Bench]:
    """Return the maker of benches."""
    return Bench
