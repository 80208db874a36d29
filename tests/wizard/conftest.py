"""A made-up plate that answers truthfully, and a fake printer, for tests of procedure and session."""

from __future__ import annotations

import asyncio
import random
from collections.abc import Callable, Sequence

import numpy as np
import pytest

from drivers.errors import MoveRefused
from drivers.interface import Identity, LineRecord, Progress, Status, Watcher
from profiles.load import load
from profiles.machine import Machine, Point
from wizard import requests as ask
from wizard.rounds import Reading

THICKNESS_OF_DRAG_MM = 0.01


class MadeUpPlate:
    """A plate whose height at a point is its supports' interpolated, plus a bow; turned by adjusters.

    `gap0` is every support's gap at the measuring height, mm. Answers are exact: a leaf slides when it is
    thinner than the gap, a card is free, drags or is tight by the gap under the nozzle now.
    """

    def __init__(self, machine: Machine, gap0: list[float], pitch: list[float], bow_mm: float = 0.0) -> None:
        self.machine = machine
        self.gap0 = list(gap0)
        self.rise_per_turn = list(pitch)
        self.bow_mm = bow_mm
        self.at: tuple[str, float] | None = None
        self.touched: list[str] = []
        self.lifted_by_mm = 0.0
        self._influence = {point.name: self._share(point.at_mm) for point in machine.point}

    def _share(self, at: tuple[float, float]) -> np.ndarray:
        """Return what each support adds at a place: the plane through three, bilinear between four."""
        places = np.array([a.at_mm for a in self.machine.adjuster])
        terms = lambda p: np.array([1.0, p[0], p[1], p[0] * p[1]][: len(places)])  # noqa: E731
        return terms(at) @ np.linalg.inv(np.array([terms(p) for p in places]))

    def gap_mm(self, point: str) -> float:
        """Return the true gap at the measuring height."""
        middle = np.mean([p.at_mm for p in self.machine.point], axis=0)
        far = np.linalg.norm(np.array(self.machine.point_named(point).at_mm) - middle) / 100.0
        bow = self.bow_mm * (1.0 - far**2)
        return float(self._influence[point] @ self.gap0) + bow + self.lifted_by_mm

    def worst_mm(self) -> float:
        """Return the largest true deviation from the wanted gap."""
        wanted = self.machine.wanted_gap_mm
        return max(abs(self.gap_mm(p.name) - wanted) for p in self.machine.point)

    def move(self, point: str, z_mm: float) -> None:
        """Put the nozzle somewhere; note where it would touch the plate."""
        self.at = (point, z_mm)
        if self.here_mm() < 0.0:
            self.touched.append(f"{point} at {z_mm}: {self.here_mm():.3f}")

    def here_mm(self) -> float:
        """Return the true gap under the nozzle now."""
        assert self.at is not None
        return self.gap_mm(self.at[0]) + self.at[1] - self.machine.measuring_height_mm

    def turn(self, turns: dict[str, float]) -> None:
        """Turn adjusters: a plate that rises makes gaps smaller."""
        names = [a.name for a in self.machine.adjuster]
        for name, count in turns.items():
            self.gap0[names.index(name)] -= self.rise_per_turn[names.index(name)] * count

    def answer(self, request: ask.AnyRequest, gauge: str) -> ask.AnyAnswer:
        """Answer one request truthfully; machine requests are carried out on the plate."""
        match request:
            case ask.Connect():
                return ask.Connected("made up")
            case ask.Park() | ask.Lower():
                self.move(request.point, request.z_mm)
                return ask.Done()
            case ask.Choose():
                wanted = (gauge, ask.GO_ON_ANYWAY, ask.GO_ON)
                return ask.Chosen(next((o for o in wanted if o in request.options), request.options[-1]))
            case ask.LookForDaylight():
                return ask.Seen(self.here_mm() > request.thick_mm)
            case ask.TakeReading():
                return ask.ReadingTaken(self.leaf())
            case ask.Feel():
                return ask.Felt(self.feel(request.card_mm))
            case ask.Turn():
                self.turn(request.turns)
                return ask.Turned(request.turns)
            case ask.TurnEndstop():
                self.lifted_by_mm += request.change_mm
                return ask.Turned({"endstop screw": request.turns})
            case ask.ChangeHeightByMenu():
                self.lifted_by_mm += request.change_mm
                return ask.HeightChanged(request.change_mm)
            case ask.SetHeight():
                self.lifted_by_mm += request.change_mm
                return ask.Done()
            case ask.ByMachine():
                return ask.Done()
            case _:
                return ask.Confirmed()

    def leaf(self) -> Reading:
        """Return the thickest leaf that slides and the thinnest that will not enter."""
        gap = self.here_mm()
        slides = [leaf for leaf in self.machine.gauge.leaves_mm if leaf < gap]
        not_in = [leaf for leaf in self.machine.gauge.leaves_mm if leaf >= gap]
        return Reading(max(slides, default=None), min(not_in, default=None), "leaf")

    def feel(self, card_mm: float) -> ask.Touch:
        """Return how the card feels under the nozzle now."""
        over = self.here_mm() - card_mm
        if abs(over) <= THICKNESS_OF_DRAG_MM:
            return "drag"
        return "free" if over > 0.0 else "tight"


def made_up(machine: Machine, seed: int, low_mm: float = 0.3, high_mm: float = 1.1) -> MadeUpPlate:
    """Return a plate that stands `low_mm` to `high_mm` too low at its supports, pitches up to 10 % off."""
    dice = random.Random(seed)
    signs = {"raises": 1.0, "lowers": -1.0}
    pitch = [
        signs[a.clockwise] * {"M3": 0.5, "M4": 0.7}[a.thread or ""] * dice.uniform(0.9, 1.1)
        for a in machine.adjuster
    ]
    gaps = [dice.uniform(low_mm, high_mm) for _ in machine.adjuster]
    return MadeUpPlate(machine, gaps, pitch, bow_mm=dice.uniform(-0.02, 0.02))


@pytest.fixture
def make_plate() -> Callable[..., MadeUpPlate]:
    """Return the maker of made-up plates."""
    return made_up


@pytest.fixture(params=["four-corner-220", "three-point-225"])
def machine(request: pytest.FixtureRequest) -> Machine:
    """Return each of the machines with screws under the plate."""
    return load(request.param)


@pytest.fixture
def four_corners() -> Machine:
    """Return the machine with four sprung corners."""
    return load("four-corner-220")


class FakePrinter:
    """A printer that does at once what it is told, notes it, and fails where a test wants it to.

    fails: error to raise at the next call of that name. holds: calls that wait until they are let go.
    there: whether a lost line can be opened again.
    """

    def __init__(self) -> None:
        self.calls: list[str] = []
        self.fails: dict[str, Exception] = {}
        self.holds: dict[str, asyncio.Event] = {}
        self.homed = False
        self.there = asyncio.Event()
        self.status = Status()
        self._on_status: Callable[[Status], None] = lambda _: None
        self._on_line: Callable[[LineRecord], None] = lambda _: None

    def watch(self, on_status: Callable[[Status], None], on_line: Callable[[LineRecord], None]) -> None:
        self._on_status, self._on_line = on_status, on_line

    async def _do(self, name: str, *args: object) -> None:
        self.calls.append(" ".join([name, *(str(arg) for arg in args)]))
        self._on_line(LineRecord(">", self.calls[-1]))
        if name in self.holds:
            await self.holds[name].wait()
        if name in self.fails:
            raise self.fails.pop(name)
        if name in ("park", "lower", "lift") and not self.homed:
            raise MoveRefused(f"{name} before homing")

    async def connect(self) -> Identity:
        await self._do("connect")
        self.homed = False
        self._on_status(Status(link="open"))
        return Identity("fake", {"kind": "made up"}, simulated=True)

    async def warm(self, bed_c: float, nozzle_c: float) -> None:
        await self._do("warm", bed_c, nozzle_c)

    async def home(self) -> None:
        await self._do("home")
        self.homed = True

    async def park(self, point: Point, z_mm: float) -> None:
        await self._do("park", point.name, z_mm)

    async def lower(self, z_mm: float) -> None:
        await self._do("lower", z_mm)

    async def lift(self) -> None:
        await self._do("lift")

    def laying(self) -> FakePrinter:
        return self

    async def run(self, blocks: Sequence[object], nozzle_c: float, watcher: Watcher) -> None:
        """Lay a layer down: two ticks, and a hold between them where the job is paused."""
        await self._do("lay", len(blocks), nozzle_c)
        watcher.told(Progress(1, len(blocks), 60.0))
        if watcher.held:
            self.calls.append("held")
            await watcher.released()
        watcher.told(Progress(len(blocks), len(blocks), 0.0))

    async def set_height(self, change_mm: float) -> None:
        await self._do("set_height", change_mm)

    async def store(self) -> None:
        await self._do("store")

    async def cool(self) -> None:
        await self._do("cool")

    def stop(self) -> None:
        self.calls.append("stop")
        self.homed = False

    async def make_safe(self, *, keep_hot: bool = False) -> None:
        self.calls.append("make_safe" + " hot" * keep_hot)

    async def come_back(self) -> None:
        await self.there.wait()

    async def close(self) -> None:
        self.calls.append("close")
        self.homed = False

    @property
    def moves(self) -> list[str]:
        """Return the calls that move the machine."""
        return [call for call in self.calls if call.split()[0] in ("home", "park", "lower", "lift")]


@pytest.fixture
def printer() -> FakePrinter:
    """Return a fresh fake printer."""
    return FakePrinter()
