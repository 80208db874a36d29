"""Machines of our own invention, and a controller that is talked to without a line."""

from __future__ import annotations

from collections.abc import Callable
from functools import reduce
from operator import xor

import pytest

from drivers.simulated import SimulatedPrinter
from profiles.machine import (
    Adjuster,
    Bed,
    FirstLayer,
    Gauge,
    Heat,
    Height,
    Machine,
    Motion,
    Point,
    Probe,
    Thread,
)

CORNERS = {"front left": (0, 0), "front right": (1, 0), "back right": (1, 1), "back left": (0, 1)}


def corner_places(low: float, high: float) -> dict[str, tuple[float, float]]:
    """Return four corner places by name."""
    return {name: (low + u * (high - low), low + v * (high - low)) for name, (u, v) in CORNERS.items()}


def make_machine(**changes: object) -> Machine:
    """Return a four-screw machine with a 220 mm square plate, changed as told."""
    places = corner_places(30.0, 190.0)
    parts: dict[str, object] = {
        "name": "Test rig",
        "bed": Bed(size_mm=(220.0, 220.0), material="aluminium", thickness_mm=3.0, mount="held"),
        "motion": Motion(x_mm=(0.0, 220.0), y_mm=(0.0, 220.0), z_mm=(0.0, 240.0)),
        "first_layer": FirstLayer(height_mm=0.2, gap_mm=0.15, tolerance_mm=0.05),
        "heat": Heat(bed_c=60.0),
        "gauge": Gauge(leaves_mm=(0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5), card_mm=0.1),
        "height": Height(by="bed adjusters"),
        "adjuster": tuple(
            Adjuster(name=name, at_mm=at, thread="M3", clockwise="lowers") for name, at in places.items()
        ),
        "point": tuple(Point(name=name, at_mm=at) for name, at in {**places, "centre": (110, 110)}.items()),
    }
    return Machine(**(parts | changes))  # type: ignore[arg-type]


def numbered(number: int, block: str) -> bytes:
    """Return a block as a host sends it."""
    body = f"N{number} {block}"
    return f"{body}*{reduce(xor, body.encode())}\n".encode()


class Talk:
    """A host that knows no time but its own: sends blocks and lets the machine's seconds pass."""

    def __init__(self, printer: SimulatedPrinter) -> None:
        self.printer = printer
        self.firmware = printer.firmware
        self.now = 0.0

    def send(self, *blocks: str) -> list[str]:
        """Send plain blocks at once; return the lines said up to now."""
        self.firmware.receive("".join(f"{block}\n" for block in blocks).encode(), self.now)
        return self.hear()

    def hear(self) -> list[str]:
        """Return the lines said up to now."""
        return self.firmware.poll(self.now).decode("ascii").splitlines()

    def wait(self, seconds: float) -> list[str]:
        """Let time pass; return the lines said."""
        self.now += seconds
        self.printer.let_pass(seconds)
        return self.hear()

    def do(self, *blocks: str) -> list[str]:
        """Send blocks one by one, waiting for each `ok`; return all lines."""
        said: list[str] = []
        for block in blocks:
            answer = self.send(block)
            while not any(line.startswith("ok") for line in answer):
                due = self.firmware.next_due(self.now)
                assert due is not None, f"{block}: nothing will ever be said"
                answer += self.wait(max(0.0, due - self.now) + 1e-9)
            said += answer
        return said


@pytest.fixture
def machine() -> Machine:
    return make_machine()


@pytest.fixture
def talk(machine: Machine) -> Talk:
    talk = Talk(SimulatedPrinter(machine, seed=1))
    assert talk.hear() == ["start"]
    return talk


@pytest.fixture
def talk_to() -> Callable[[Machine], Talk]:
    """Return what makes a talk with another machine, banner already heard."""

    def make(machine: Machine) -> Talk:
        talk = Talk(SimulatedPrinter(machine, seed=1))
        talk.hear()
        return talk

    return make


@pytest.fixture(name="numbered")
def _numbered() -> Callable[[int, str], bytes]:
    return numbered


@pytest.fixture(name="make_machine")
def _make_machine() -> Callable[..., Machine]:
    return make_machine


@pytest.fixture
def touching() -> Probe:
    return Probe(kind="touch", command="G30 X{x_mm} Y{y_mm}", reply=r"Z: ?(?P<z_mm>-?[0-9.]+)")


@pytest.fixture
def endstop() -> Height:
    return Height(by="endstop screw", screw=Thread(thread="M3", clockwise="raises"))
