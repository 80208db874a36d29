"""Machines made up in code, one of every kind of adjuster, and one request of every kind."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import pytest

from profiles.grid import GridValue
from profiles.machine import (
    Adjuster,
    Bed,
    Compensation,
    FirstLayer,
    Gauge,
    Heat,
    Height,
    Machine,
    Motion,
    Point,
    Thread,
)
from wizard import requests as ask
from wizard.facts import Facts
from wizard.since import Change
from wizard.solver.finding import Ask, Finding, PointFinding, Shape, Suspicion

TOPICS = msgspec.inspect.type_info(ask.Topic).values
CHANGED = (ask.SET_HEIGHT, ask.LEVEL_NOW, ask.CLOSE)
GRID = tuple(
    GridValue(i, j, (20.0 + 90.0 * i, 20.0 + 90.0 * j), 0.03 * i - 0.02 * j)
    for j in range(3)
    for i in range(3)
)
BY_HAND = ("home", "park", "lower", "lift", "heat", "cool")


def made(adjusters: tuple[Adjuster, ...], points: tuple[Point, ...], **more: object) -> Machine:
    """Return a machine around these supports and points."""
    parts: dict = {
        "name": "made up",
        "bed": Bed(size_mm=(220.0, 220.0)),
        "motion": Motion(x_mm=(0, 220), y_mm=(0, 220), z_mm=(0, 200)),
        "first_layer": FirstLayer(height_mm=0.2, gap_mm=0.15, tolerance_mm=0.05),
        "height": Height(by="bed adjusters"),
        "heat": Heat(bed_c=60.0),
        "gauge": Gauge(leaves_mm=(0.05, 0.10, 0.15, 0.20, 0.30), card_mm=0.1),
        "adjuster": adjusters,
        "point": points,
    }
    return Machine(**(parts | more))


def four(**how: object) -> tuple[Adjuster, ...]:
    """Return four equal adjusters at the corners."""
    like: dict = {"thread": "M3", "clockwise": "lowers", "seen_from": "below", "head": "wing nut"}
    corners = {
        "front left": (30, 30),
        "front right": (190, 30),
        "back right": (190, 190),
        "back left": (30, 190),
    }
    return tuple(Adjuster(name=name, at_mm=at, **(like | how)) for name, at in corners.items())


def mixed() -> tuple[Adjuster, ...]:
    """Return one adjuster of every kind, head and way."""
    return (
        Adjuster(name="hex", at_mm=(0, 0), thread="M4", clockwise="raises", head="hex", seen_from="left"),
        Adjuster(name="not known", at_mm=(9, 0), thread="M3", head="slot", step_turns=0.05),
        Adjuster(name="sheets", at_mm=(9, 9), kind="shim", mm_per_turn=0.1, clockwise="raises", step_turns=1),
        Adjuster(name="motor", at_mm=(0, 9), kind="motor", mm_per_turn=2.0, clockwise="raises"),
        Adjuster(name="still", at_mm=(5, 5), kind="fixed"),
        Adjuster(name="n" * 80, at_mm=(6, 5), mm_per_turn=0.35, clockwise="lowers", head="hex"),
    )


@pytest.fixture(params=["four", "three", "mixed", "bare"])
def machine(request: pytest.FixtureRequest) -> Machine:
    """Return each made-up machine."""
    corners = tuple(Point(name=a.name, at_mm=a.at_mm) for a in four())
    if request.param == "four":
        return made(four(), corners)
    if request.param == "three":
        return made(four(clockwise="raises", seen_from="above", thread="M4", step_turns=1 / 32)[:3], corners)
    if request.param == "mixed":
        screw = Thread(thread="M3", clockwise="raises", head="hex")
        height = Height(by="endstop screw", screw=screw)
        points = tuple(Point(name=a.name, at_mm=a.at_mm) for a in mixed())
        return made(mixed(), points, height=height, compensation=Compensation(grid=(3, 3)), heat=Heat())
    return made((), (Point(name="only", at_mm=(5, 5)),), gauge=Gauge())


def a_finding(machine: Machine, **more: object) -> Finding:
    """Return a finding about a machine, its parts settable."""
    points = {
        point.name: PointFinding(0.1 + 0.03 * n, 0.014, -0.05 + 0.03 * n, 0.16)
        for n, point in enumerate(machine.point)
    }
    name = next(iter(points))
    parts: dict = {
        "verdict": "undecided",
        "status": "turn",
        "turns": {a.name: 0.375 - 0.3125 * n for n, a in enumerate(machine.adjuster)},
        "points": points,
        "shape": Shape(0.1, 0.2, 0.05, 0.02, 0.11, 0.12),
        "best_possible_mm": 0.08,
        "ask": (Ask(name, 0.15, 0.02, 0.15),),
        "suspicion": Suspicion("reading-slipped", 8.2, point=name),
    }
    return Finding(**(parts | more))


def all_requests(machine: Machine) -> tuple[ask.AnyRequest, ...]:
    """Return at least one request of every kind, for a machine."""
    finding = a_finding(machine)
    point = machine.point[0].name
    options = (ask.AS_SUSPECTED, ask.READ_AGAIN, ask.GO_ON, ask.GO_ON_ANYWAY, ask.STOP_HERE)
    return (
        *(ask.Confirm(topic, finding) for topic in TOPICS),
        *(ask.Confirm(topic) for topic in TOPICS),
        ask.Choose("gauge", ("leaf", "feel")),
        ask.Choose("suspicion", options, finding),
        ask.Choose("stuck", options, finding),
        ask.Choose("stuck", options),
        ask.LookForDaylight(point, 0.8, 0.76),
        ask.LookForDaylight(point, 5.0, 3.0),
        ask.LookForDaylight(point, 1.87, 1.52),
        ask.TakeReading(point, 0.2, 1, 2, 5, "first", 0.15),
        ask.TakeReading(point, 0.225, 3, 5, 5, "verify"),
        ask.Feel(point, 0.45, 0.1, 1, 2, 5, "adjust", 0.1, 0.2),
        ask.Feel(point, 0.45, 0.1, 1, 2, 5, "adjust"),
        ask.Turn(finding.turns, 1, False, finding),
        ask.Turn(dict(list(finding.turns.items())[:1]), 1, True, finding),
        ask.TurnEndstop(-0.25, -0.125, finding),
        ask.TurnEndstop(-0.25, -0.125, finding, 0.15),
        ask.AskSheet(0.05),
        ask.EnterGrid(GRID),
        ask.SetGrid(GRID),
        ask.TouchGrid(GRID),
        ask.FollowGrid(GRID),
        ask.FollowAgain(GRID),
        ask.LeaveGrid(),
        ask.ReadHeight(),
        ask.ReadHeight(-1.25),
        ask.Reconnect(),
        ask.ShowTouches(0.041, 10, 0.02),
        ask.TouchTest(None, 10),
        ask.TouchTest(point, 10),
        ask.TouchPoint(point, 1, 2, 5, "first", 2, 0.05, 0.01),
        ask.MoveMotors(finding.turns, 1, finding),
        ask.Choose("compensate", (ask.COMPENSATE, ask.LEAVE_IT), finding),
        ask.ChangeHeightByMenu(0.03, finding),
        *(ask.MoveByHand(what, point, 0.2, 60.0, 0.0) for what in BY_HAND),
        *(ask.MoveByHand(what) for what in BY_HAND),
        ask.ShowResult(finding, 2, True),
        ask.ShowResult(msgspec.structs.replace(finding, verdict="within"), 2, True),
        ask.ShowResult(Finding("outside", "underdetermined"), 1, False),
        *(
            ask.ShowChange(Change(kind, 0.97, -0.08, 0.006, 12.0, (point,), finding, point, -0.06), CHANGED)
            for kind in ("same", "height", "tilt", "wrong")
        ),
        ask.ShowChange(Change("height", 1.0, -0.08, 0.006, 0.2, (point,), finding, done=True), (ask.CLOSE,)),
        ask.Connect(),
        ask.Warm(60.0, 0.0),
        ask.Warm(0.0, 0.0),
        ask.Soak(5.0),
        ask.Home(),
        ask.Park(point, 0.2),
        ask.Lower(point, 0.2),
        ask.Lift(),
        ask.SetHeight(0.03),
        ask.Store(),
        ask.CoolDown(),
        ask.AskFilament(60.0, 205.0),
        ask.PrintLayer(60.0, 205.0),
        ask.Choose("pads", (ask.CALIPER, ask.MICROMETER, ask.BY_LOOK)),
        *(ask.JudgePad(point, how, 4, 2, 5) for how in ("caliper", "micrometer", "look")),
        ask.ShowPrint(finding, 5, (ask.CORRECT, ask.PRINT_AGAIN, ask.CLOSE)),
        ask.ShowPrint(msgspec.structs.replace(finding, verdict="within"), 0, (ask.CLOSE, ask.PRINT_AGAIN)),
        ask.ShowResult(finding, 4, False, ask.Checks(5, True, True, "outside", 5)),
        ask.ShowResult(finding, 2, True, ask.Checks(5, True), True),
    )


@pytest.fixture(scope="session")
def finding_of() -> Callable[..., Finding]:
    """Return the maker of findings."""
    return a_finding


@pytest.fixture(scope="session")
def make_requests() -> Callable[[Machine], tuple[ask.AnyRequest, ...]]:
    """Return the maker of one request of every kind."""
    return all_requests


@pytest.fixture(scope="session")
def make_machine() -> Callable[..., Machine]:
    """Return the maker of machines."""
    return made


@pytest.fixture(scope="session")
def corners() -> Callable[..., tuple[Adjuster, ...]]:
    """Return the maker of four adjusters at the corners."""
    return four


@pytest.fixture(params=["cold", "hot", "simulated"])
def facts(request: pytest.FixtureRequest, machine: Machine) -> Facts:
    """Return the facts of a job, cold, hot and simulated."""
    if request.param == "hot":
        return Facts(machine, bed_c=60.0, nozzle_c=200.0)
    return Facts(machine, simulated=request.param == "simulated")
