"""Machines that store, follow, touch or level by themselves: each job at a terminal, first key to proof."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.journeys.at_screen import AtScreen
from tests.journeys.person import Person
from tests.journeys.program import Page
from tests.journeys.terminal import Terminal
from wizard.journal.files import read_lines

KINDS = {
    "stored-offset-140": ("card", ("SetHeight", "Store", "SetGrid", "FollowGrid", "Reconnect")),
    "touch-probe-255": ("leaves", ("TouchTest", "TouchPoint", "Turn", "SetHeight", "Store")),
    "nozzle-contact-210": ("card", ("TouchTest", "TouchPoint", "SetHeight", "Store")),
    "motor-levelled-300": ("leaves", ("TouchTest", "TouchPoint", "MoveMotors", "SetHeight", "Store")),
}
SEEDS = {"motor-levelled-300": 10}  # leaves are too coarse to prove it on a plate as uneven as most
NEVER = {
    "stored-offset-140": ("Turn", "TouchTest", "TouchPoint", "MoveMotors", "TakeReading"),
    "touch-probe-255": ("MoveMotors", "ChangeHeightByMenu"),
    "nozzle-contact-210": ("Turn", "MoveMotors", "TakeReading"),
    "motor-levelled-300": ("Turn", "SetGrid", "FollowGrid"),
}


class AtTheMachine(Person):
    """Also switches the machine off and on where that is asked for."""

    def __init__(self, person: Person, printer: Any) -> None:
        super().__init__(person.machine, person.hands, person.gauge)
        self._printer = printer

    def answer(self, page: Page) -> str:
        """Do what the page says and return what is typed then."""
        if "off and on" in page.title:
            with self._printer.lock:
                self._printer.firmware.restart()
        return super().answer(page)


@pytest.mark.parametrize("kind", KINDS)
def test_from_the_first_key_to_a_proven_bed(
    bed: Callable[..., Any], person: Callable[..., Person], tmp_path: Path, kind: str
) -> None:
    """What the machine can do is done, what it cannot do is never asked, and the plate is truly level."""
    gauge, done = KINDS[kind]
    there = bed(kind, SEEDS.get(kind, 6))
    line = ("--port", there.server.url, "--speed", 5000.0, "--nozzle", "brass")
    terminal = Terminal(
        (sys.executable, "-m", "wizard", "level", kind, *line), {"TRAMWRIGHT_HOME": str(tmp_path)}
    )
    operator = AtTheMachine(person(kind, there.hands, gauge), there.printer)
    assert AtScreen(operator, terminal).do() == 0
    lines = read_lines(next((tmp_path / "runs").glob("*.jsonl")))
    asked = {type(line.request).__name__ for line in lines if hasattr(line, "answer")}
    assert set(done) <= asked
    assert not set(NEVER[kind]) & asked
    assert there.worst_mm <= there.tolerance_mm
    assert there.printer.record.violations == []
    assert there.is_cold_and_lifted() == (True, True)
