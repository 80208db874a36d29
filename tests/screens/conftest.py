"""A scripted session, an invented machine and a job in mid-course, to build every screen from."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from types import ModuleType, SimpleNamespace
from typing import Any

import pytest
from msgspec.structs import replace
from textual.pilot import Pilot

from drivers.interface import LineRecord, Status, Temperatures
from profiles.machine import Adjuster, Bed, FirstLayer, Gauge, Heat, Height, Machine, Motion, Point
from wizard.apps.job import JobApp
from wizard.facts import Facts
from wizard.requests import AnyAnswer, ByPerson, Outcome
from wizard.rounds import Reading, Round
from wizard.running.events import Asked, Event, LineSeen, StateChanged, StatusChanged, Working
from wizard.running.flow import Event as Happens
from wizard.running.flow import Flow
from wizard.running.session import Stopped
from wizard.solver.finding import Finding, PointFinding, Shape

CORNERS = (("front left", 30, 30), ("front right", 190, 30), ("back right", 190, 190), ("back left", 30, 190))
LEAVES = (0.05, 0.10, 0.15, 0.20, 0.25, 0.30, 0.40, 0.50)


@pytest.fixture(autouse=True)
def _no_user_config(monkeypatch: pytest.MonkeyPatch, tmp_path: Any) -> None:
    """No file and no setting of the user's own reaches a screen."""
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    for name in ("NO_COLOR", "COLORTERM", "COLORFGBG", "TRAMWRIGHT_PLAIN_MARKS"):
        monkeypatch.delenv(name, raising=False)


@pytest.fixture(scope="session")
def samples() -> ModuleType:
    """The samples that the wording is tested with: `all_requests(machine)`, and machines made up in code."""
    path = Path(__file__).parents[1] / "wizard" / "instructions" / "conftest.py"
    spec = spec_from_file_location("samples_of_requests", path)
    assert spec is not None
    assert spec.loader is not None
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def machine() -> Machine:
    """Four wing nuts under a square plate, five points."""
    return Machine(
        name="Bench square, four wing nuts",
        bed=Bed(size_mm=(220, 220), mount="held"),
        motion=Motion(x_mm=(0, 220), y_mm=(0, 220), z_mm=(0, 240)),
        first_layer=FirstLayer(height_mm=0.20, gap_mm=0.15, tolerance_mm=0.05),
        height=Height(by="bed adjusters"),
        heat=Heat(bed_c=60),
        gauge=Gauge(leaves_mm=LEAVES, card_mm=0.10),
        adjuster=tuple(
            Adjuster(
                name=n, at_mm=(x, y), thread="M3", clockwise="lowers", head="wing nut", seen_from="below"
            )
            for n, x, y in CORNERS
        ),
        point=tuple(Point(name=n, at_mm=(x, y)) for n, x, y in (*CORNERS, ("centre", 110, 110))),
    )


@pytest.fixture
def facts(machine: Machine) -> Facts:
    """Round 1 under way: three points read, the nozzle over the fourth."""
    readings = {
        "front left": Reading(0.15, 0.20, "leaf"),
        "back left": Reading(0.50, None, "leaf"),
        "centre": Reading(0.25, 0.30, "leaf"),
    }
    return Facts(
        machine,
        connected=True,
        homed=True,
        bed_c=60,
        parked_at="front right",
        z_mm=0.2,
        rounds=(Round(readings=readings),),
        readings=readings,
        answers=9,
    )


@pytest.fixture
def turned(facts: Facts) -> Facts:
    """At the end of a job: turned after the first round, and read once more."""
    (first,) = facts.rounds
    turns = {"front left": 0.25, "back left": -0.4375}
    return replace(facts, rounds=(replace(first, turned=turns), Round(readings=first.readings)))


@pytest.fixture
def finding() -> Finding:
    """A plate that rises to the back left: every way of judging a point is in it."""
    gaps = {"front left": 0.04, "front right": 0.21, "back right": 0.16, "back left": 0.38, "centre": 0.27}
    return Finding(
        verdict="outside",
        status="turn",
        turns={"front left": 0.25, "back left": -0.4375, "front right": -0.125},
        points={n: PointFinding(g, 0.012, g - 0.15, 0.15) for n, g in gaps.items()},
        shape=Shape(0.4, 0.9, 0.06, 0.02, 0.04, 0.05),
    )


class ScriptedSession:
    """Stands in for a session: tells what a test tells it, keeps what the screen asks of it."""

    def __init__(self, listener: Callable[[Event], None]) -> None:
        self.listener = listener
        self.replies: list[AnyAnswer] = []
        self.asked: list[str] = []
        self.refuses = ""
        self._flow = Flow()
        self._end: asyncio.Future[Outcome] = asyncio.get_running_loop().create_future()

    async def run(self) -> Outcome:
        return await self._end

    def reply(self, answer: AnyAnswer) -> None:
        if self.refuses:
            raise ValueError(self.refuses)
        self.replies.append(answer)

    def back(self) -> None:
        self.asked.append("back")

    def retry(self) -> None:
        self.asked.append("retry")

    def pause(self) -> None:
        self.happens(Happens.PAUSE)

    def go_on(self) -> None:
        self.happens(Happens.GO_ON)

    def stop(self) -> None:
        self.asked.append("stop")
        self.happens(Happens.STOP)

    def happens(self, event: Happens) -> None:
        before, self._flow = self._flow.state, self._flow.after(event)
        self.listener(StateChanged(before.value, self._flow.state.value))

    def end(self, outcome: Outcome | None = None) -> None:
        """End the run: with an outcome, or as a stopped one ends."""
        if outcome is None:
            self._end.set_exception(Stopped())
        else:
            self._end.set_result(outcome)

    def step(self, request: Any, facts: Facts, can_go_back: bool = True) -> None:
        """Tell that a step has begun: asked of a person, or worked on by the machine."""
        by_person = isinstance(request, ByPerson)
        if self._flow.state.value in ("idle", "asking", "moving"):
            self.happens(Happens.ASK if by_person or self._flow.state.value == "idle" else Happens.MOVE)
        self.listener(Asked(request, facts, can_go_back) if by_person else Working(request, facts))


class ScriptedBench:
    """A virtual bench where 0.25 mm is the thickest leaf that slides."""

    def __init__(self) -> None:
        self.turned: list[tuple[str, float]] = []

    def try_leaf(self, mm: float) -> str:
        return "slides" if mm < 0.26 else "will not enter"

    def feel(self) -> str:
        return "drag"

    def daylight(self, thick_mm: float) -> bool:
        return True

    def pad_thickness(self, point: str, tool: str) -> float | None:
        return None if point == "centre" else 0.16

    def pad_look(self, point: str) -> int:
        return 5 if point == "centre" else 3

    def turn(self, name: str, turns: float) -> float:
        self.turned.append((name, turns))
        return turns

    def raise_nozzle(self, change_mm: float) -> float:
        self.turned.append(("nozzle", change_mm))
        return change_mm

    def type_grid(self, values: Any) -> None:
        self.turned.append(("grid", len(values)))


STATUS = Status(
    position_mm=(190.0, 30.0, 0.2),
    temperatures=Temperatures(bed_c=60.1, bed_target_c=60, nozzle_c=27, nozzle_target_c=0),
    sent=120,
)
LINES = (
    LineRecord(">", "N12 G1 Z0.2 F60*84"),
    LineRecord("<", "ok"),
    LineRecord("<", "[b]note[/b] \x1b[31m"),
)


@pytest.fixture
def bench() -> ScriptedBench:
    """A virtual bench that keeps what was turned."""
    return ScriptedBench()


@pytest.fixture
def job_app(facts: Facts) -> Callable[..., JobApp]:
    """Make the application of a job, with a scripted session; `app.made` holds the session once begun."""

    def make(bench: Any = None, **look: Any) -> JobApp:
        made: list[ScriptedSession] = []

        def make_session(listener: Callable[[Event], None]) -> ScriptedSession:
            made.append(ScriptedSession(listener))
            return made[-1]

        app = JobApp(make_session, facts, bench, **look)
        app.made = made  # type: ignore[attr-defined]
        return app

    return make


@pytest.fixture
def play(job_app: Callable[..., JobApp], facts: Facts) -> Callable[..., Any]:
    """Run a job's application at a size, at one step; gives app, session, pilot."""

    @asynccontextmanager
    async def run(
        request: Any = None,
        size: tuple[int, int] = (80, 24),
        bench: Any = None,
        told: Facts | None = None,
        **look: Any,
    ) -> AsyncIterator[SimpleNamespace]:
        app = job_app(bench, **look)
        async with app.run_test(size=size) as pilot:
            await begin(pilot, request, told or facts)
            yield SimpleNamespace(app=app, session=app.made[0], pilot=pilot, screen=app.job)  # type: ignore[attr-defined]

    return run


async def begin(pilot: Pilot[Any], request: Any, facts: Facts, status: Status = STATUS) -> None:
    """Wait for the session, then tell it the machine's state, some lines and the step."""
    app: Any = pilot.app
    while not app.made:
        await pilot.pause()
    session = app.made[0]
    session.listener(StatusChanged(status))
    for line in LINES:
        session.listener(LineSeen(line))
    if request is not None:
        session.step(request, facts)
    await pilot.pause()
