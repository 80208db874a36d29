"""The whole job on a machine without a line: the program asks, a person moves, heats, reads and turns."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from drivers.simulated import BareNozzle
from drivers.simulated.operator import Operator
from drivers.simulated.plate import Plate
from profiles.load import load, shipped
from profiles.machine import Machine, Point
from tests.journeys.person import Person
from tests.journeys.program import Page

PROFILE = "four-corner-220"


class AtTheMenu(Person):
    """A person who works the machine's own menu, over a plate of which the program knows nothing.

    deepest_mm: the least gap there ever was under the nozzle where it was told to stand.
    """

    def __init__(self, machine: Machine, nozzle: BareNozzle, seed: int) -> None:
        super().__init__(machine, Operator(nozzle, seed), "leaves")
        self.nozzle = nozzle
        self.did: list[str] = []
        self.deepest_mm = 1.0

    def answer(self, page: Page) -> str:
        """Do by menu what is asked for; everything else as at any machine."""
        for label, do in {
            "homed and lifted": self._home,
            "it stands there": self._stand,
            "it is reached": self._heat,
            "lifted": self._lift,
            "both are off": self._cool,
        }.items():
            if key := page.key(label):
                do(page)
                self.did.append(label)
                return key
        return super().answer(page)

    def _home(self, page: Page) -> None:
        self.nozzle.home()
        self._lift(page)

    def _lift(self, page: Page) -> None:
        self.nozzle.at_mm = (*self.nozzle.at_mm[:2], self.machine.motion.clearance_mm)

    def _stand(self, page: Page) -> None:
        text = f"{page.title} {page.body}"
        place = re.search(r"X ([\d.]+), Y ([\d.]+)", text)
        x_mm, y_mm = map(float, place.groups()) if place else self.nozzle.at_mm[:2]
        (z_mm,) = set(re.findall(r"(?:down to|to) Z (\d+(?:\.\d+)?)", page.title)) or {None}
        self.nozzle.park(Point(name="here", at_mm=(x_mm, y_mm)), float(z_mm or "nan"))
        self.deepest_mm = min(self.deepest_mm, self.nozzle.gap_mm())

    def _heat(self, page: Page) -> None:
        assert f"{self.machine.heat.bed_c:g} degrees" in page.title
        self.nozzle.warm()

    def _cool(self, page: Page) -> None:
        """The plate is looked at as warm as it was."""


@pytest.fixture
def at_the_menu() -> AtTheMenu:
    """Return a person at a machine that was just found."""
    machine = load(PROFILE)
    return AtTheMenu(machine, BareNozzle(Plate(machine, 7)), 7)


def test_by_menu_and_leaves_the_job_ends_proven_and_true(
    run: Callable[..., Any], at_the_menu: AtTheMenu
) -> None:
    """The nozzle is never told to stand in the plate; the end asks for heaters off."""
    program = run("level", PROFILE, "--hand", "--plain", "--speed", 5000)
    assert at_the_menu.do(program) == 0
    assert any("proven by a whole pass" in line for line in program.said)
    assert at_the_menu.nozzle.plate.true_worst_deviation_mm <= at_the_menu.machine.first_layer.tolerance_mm
    assert at_the_menu.deepest_mm > 0.0
    assert at_the_menu.did[0] == "it is reached"
    assert at_the_menu.did.index("homed and lifted") < at_the_menu.did.index("it stands there")
    assert at_the_menu.did[-2:] == ["lifted", "both are off"]


def test_a_machine_that_is_described_as_moved_by_hand_needs_no_option(
    run: Callable[..., Any], at_the_menu: AtTheMenu, tmp_path: Path
) -> None:
    """No port is looked for; what the first move asks for is done by the person."""
    own = tmp_path / "own.toml"
    own.write_text(shipped()[PROFILE].read_text().replace('link = "serial"', 'link = "hand"'))
    program = run("level", own, "--plain", "--speed", 5000)
    while not at_the_menu.did:
        program.type(at_the_menu.answer(program.question()))
    assert at_the_menu.did == ["it is reached"]
    program.type("stop")
    program.ends()
    assert "Stopped, but NOT confirmed by the machine." not in program.said


def test_hands_and_a_port_exclude_each_other(run: Callable[..., Any]) -> None:
    """One sentence and 2, before anything is begun."""
    program = run("level", PROFILE, "--hand", "--port", "/dev/null", "--plain")
    assert program.ends() == 2
    assert program.said == ["tramwright: --hand and --port exclude each other: give one of them"]


def test_without_an_unfinished_job_there_is_nothing_to_take_up(run: Callable[..., Any]) -> None:
    """The sentence says where it was looked for and what to do."""
    program = run("level", PROFILE, "--hand", "--plain", "--resume")
    assert program.ends() == 2
    assert "no unfinished job of 'Four sprung corners, 220 mm square'" in program.said[0]
