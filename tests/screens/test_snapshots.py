"""Every screen and every kind of step, as it looks in 80 x 24 and in 120 x 40.

After a wanted change: pytest tests/screens/test_snapshots.py --snapshot-update, then look at each one.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any

import msgspec
import pytest

from wizard.apps.home import HomeApp
from wizard.facts import Facts
from wizard.requests import (
    AskSheet,
    ChangeHeightByMenu,
    Choose,
    Confirm,
    Connect,
    Feel,
    Home,
    LookForDaylight,
    MoveByHand,
    Park,
    ShowResult,
    Soak,
    TakeReading,
    Turn,
    TurnEndstop,
    Warm,
)
from wizard.running.events import Faulted, SoakTick
from wizard.running.flow import Event as Happens
from wizard.solver.finding import Suspicion
from wizard.widgets.marks import PLAIN

SIZES = [(80, 24), (120, 40)]
SMALL, ROOMY = SIZES
READING = TakeReading("front right", 0.2, 1, 4, 5, "first", 0.15)
FEEL = Feel("front right", 0.25, 0.10, 1, 4, 5, "first", 0.10, 0.30)
DAYLIGHT = LookForDaylight("front right", 0.8, 0.76)


def _named(size: tuple[int, int]) -> str:
    return f"{size[0]}x{size[1]}"


@pytest.fixture
def begin() -> Callable[..., Any]:
    """The function of conftest that brings an application to a step."""
    return next(module.begin for name, module in sys.modules.items() if name.endswith("screens.conftest"))


@pytest.fixture
def looks(
    snap_compare: Callable[..., bool], job_app: Callable[..., Any], facts: Facts, begin: Callable[..., Any]
) -> Callable[..., bool]:
    """Compare a job's screen at one step, after some keys and events, with its picture."""

    def compare(
        request: Any,
        size: tuple[int, int],
        keys: str | tuple[str, ...] = (),
        events: tuple[Any, ...] = (),
        told: Facts | None = None,
        **look: Any,
    ) -> bool:
        async def prepare(pilot: Any) -> None:
            await begin(pilot, request, told or facts)
            for event in events:
                pilot.app.made[0].listener(event)
            await pilot.press(*keys)
            await pilot.pause()

        return snap_compare(job_app(**look), terminal_size=size, run_before=prepare)

    return compare


@pytest.mark.parametrize("size", SIZES, ids=_named)
@pytest.mark.parametrize(
    "request_",
    [
        Confirm("cautions"),
        Confirm("hands-clear"),
        Choose("gauge", ("leaf", "feel")),
        DAYLIGHT,
        READING,
        FEEL,
        Home(),
        Park("front right", 0.2),
        Connect(),
    ],
    ids=[
        "cautions",
        "hands-clear",
        "choose-gauge",
        "daylight",
        "reading",
        "feel",
        "homing",
        "parking",
        "connecting",
    ],
)
def test_steps(looks: Callable[..., bool], request_: Any, size: tuple[int, int]) -> None:
    assert looks(request_, size)


@pytest.mark.parametrize("size", SIZES, ids=_named)
def test_a_reading_half_typed_and_refused(looks: Callable[..., bool], size: tuple[int, int]) -> None:
    assert looks(READING, size, (*"0.30-0.20", "enter"))


@pytest.mark.parametrize("size", SIZES, ids=_named)
def test_a_reading_with_the_virtual_gauge(
    looks: Callable[..., bool], bench: Any, facts: Facts, size: tuple[int, int]
) -> None:
    told = msgspec.structs.replace(facts, simulated=True)
    assert looks(READING, size, "vvv", bench=bench, told=told)


@pytest.mark.parametrize("size", SIZES, ids=_named)
@pytest.mark.parametrize(
    "keys",
    [(), ("enter",), ("enter", "o", "1", "/", "8"), ("enter", "enter", "enter")],
    ids=["first", "one-ticked", "other-amount", "all-ticked"],
)
def test_turns(
    looks: Callable[..., bool], finding: Any, size: tuple[int, int], keys: tuple[str, ...]
) -> None:
    assert looks(Turn(finding.turns, 1, False, finding), size, keys)


@pytest.mark.parametrize("size", SIZES, ids=_named)
def test_the_endstop_screw(looks: Callable[..., bool], finding: Any, size: tuple[int, int]) -> None:
    assert looks(TurnEndstop(0.125, -0.06, finding), size)


@pytest.mark.parametrize("size", SIZES, ids=_named)
def test_the_height_in_the_menu(looks: Callable[..., bool], finding: Any, size: tuple[int, int]) -> None:
    assert looks(ChangeHeightByMenu(0.05, finding), size, "o0")


@pytest.mark.parametrize("size", SIZES, ids=_named)
def test_a_suspicion(looks: Callable[..., bool], finding: Any, size: tuple[int, int]) -> None:
    doubt = msgspec.structs.replace(finding, suspicion=Suspicion("turned-other-way", 19.0, "front left"))
    assert looks(Choose("suspicion", ("it was so", "read it again", "go on"), doubt), size)


@pytest.mark.parametrize("size", SIZES, ids=_named)
def test_the_result(looks: Callable[..., bool], finding: Any, turned: Facts, size: tuple[int, int]) -> None:
    assert looks(ShowResult(finding, 2, False), size, told=turned)


@pytest.mark.parametrize("size", SIZES, ids=_named)
def test_the_end_of_a_survey(looks: Callable[..., bool], finding: Any, size: tuple[int, int]) -> None:
    assert looks(ShowResult(finding, 1, False, measured_only=True), size)


@pytest.mark.parametrize("size", SIZES, ids=_named)
def test_waits(looks: Callable[..., bool], size: tuple[int, int]) -> None:
    assert looks(Soak(5.0), size, events=(SoakTick(134.0, 300.0),))


def test_heating(looks: Callable[..., bool]) -> None:
    assert looks(Warm(60, 0), SMALL)


def test_moving_by_hand(looks: Callable[..., bool], facts: Facts) -> None:
    told = msgspec.structs.replace(facts, by_hand=True)
    assert looks(MoveByHand("park", "front right", 0.2), SMALL, told=told)


@pytest.mark.parametrize("size", SIZES, ids=_named)
@pytest.mark.parametrize(
    "keys", ["k", "p", "l", ("f1",), "x"], ids=["leaving-out", "paused", "log", "help", "stopping"]
)
def test_over_a_step(looks: Callable[..., bool], keys: tuple[str, ...], size: tuple[int, int]) -> None:
    assert looks(READING, size, keys)


@pytest.mark.parametrize("size", SIZES, ids=_named)
def test_a_fault(
    snap_compare: Callable[..., bool],
    job_app: Callable[..., Any],
    facts: Facts,
    begin: Callable[..., Any],
    size: tuple[int, int],
) -> None:
    text = "The line to the machine is gone (/dev/ttyUSB0). Check its cable and power, then try again."
    lines = ("> N812 G1 Z0.2 F60*33", "< [b]note[/b] \x1b[31m", "< ok")

    async def prepare(pilot: Any) -> None:
        await begin(pilot, READING, facts)
        pilot.app.made[0].happens(Happens.FAULT)
        pilot.app.made[0].listener(Faulted("LinkLost", text, lines))
        await pilot.pause()

    assert snap_compare(job_app(), terminal_size=size, run_before=prepare)


@pytest.mark.parametrize("size", SIZES, ids=_named)
@pytest.mark.parametrize(
    "keys", [(), ("enter",), ("enter", "4", "enter", *"socket://")], ids=["machines", "ways", "address"]
)
def test_home(
    snap_compare: Callable[..., bool], machine: Any, keys: tuple[str, ...], size: tuple[int, int]
) -> None:
    ports = (("/dev/ttyUSB0", ""), ("/dev/ttyUSB1", "it is in use by a program"))
    machines = {"four-wing-nuts": machine, "another": machine}
    home = HomeApp(lambda: machines, lambda: ports, is_unfinished=lambda _name: False)
    assert snap_compare(home, terminal_size=size, press=keys)


@pytest.mark.parametrize("request_", [READING, None], ids=["reading", "turns"])
def test_a_small_window(looks: Callable[..., bool], finding: Any, request_: Any) -> None:
    assert looks(request_ or Turn(finding.turns, 1, False, finding), (60, 20))


def test_a_window_too_small(looks: Callable[..., bool]) -> None:
    assert looks(READING, (50, 15))


def test_a_large_window(looks: Callable[..., bool]) -> None:
    assert looks(READING, (200, 60))


def test_without_colour_and_with_plain_characters(looks: Callable[..., bool], finding: Any) -> None:
    assert looks(Turn(finding.turns, 1, False, finding), SMALL, theme="bench-bare", marks=PLAIN)


def test_on_a_light_background(looks: Callable[..., bool], finding: Any) -> None:
    assert looks(Turn(finding.turns, 1, False, finding), SMALL, theme="bench-light")


@pytest.mark.parametrize("size", SIZES, ids=_named)
def test_the_thickness_of_a_sheet(looks: Callable[..., bool], size: tuple[int, int]) -> None:
    assert looks(AskSheet(0.10), size)
