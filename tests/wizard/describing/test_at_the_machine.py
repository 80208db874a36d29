"""Places shown by parking and the trial turn, at a machine that only notes what it is told."""

from __future__ import annotations

import io
import sys
from typing import Any

import pytest

from drivers.errors import MoveRefused
from profiles.load import load
from wizard.describing.asking import Asker
from wizard.describing.keys import read_key
from wizard.describing.parking import teach
from wizard.describing.trial_turn import nearest, rise_by_a_turn_mm
from wizard.exits import InputRefused

MACHINE = load("four-corner-220")
FRONT_LEFT = MACHINE.adjuster[0]


class Noting:
    """A machine that goes where it is told inside 0 to 220 mm."""

    machine = MACHINE

    def __init__(self) -> None:
        self.places: list[tuple[float, float]] = []
        self.heights: list[float] = []
        self.lifts = 0

    def over(self, at_mm: tuple[float, float]) -> tuple[float, float]:
        if not all(0 <= each <= 220 for each in at_mm):
            raise MoveRefused("That is outside.")
        self.places.append(at_mm)
        return at_mm

    def park(self, point: Any, z_mm: float) -> None:
        self.heights.append(z_mm)

    def lower(self, z_mm: float) -> None:
        self.heights.append(z_mm)

    def lift(self) -> None:
        self.lifts += 1


def keys(*pressed: str) -> Any:
    """Return what hands out these keys, one a call."""
    left = list(pressed)
    return lambda _: left.pop(0)


@pytest.fixture
def told() -> list[str]:
    return []


@pytest.fixture
def asker(told: list[str]) -> Asker:
    return Asker(lambda _: "", told.append)


def test_a_place_is_shown_step_by_step_and_taken_by_enter(asker: Asker, told: list[str]) -> None:
    bench: Any = Noting()
    place = teach(asker, bench, keys("r", "2", "b", "1", "l", "x", ""), "front left", (30, 30))
    assert bench.places == [(30, 30), (40, 30), (40, 31), (39.9, 31)]
    assert place == [39.9, 31]


def test_what_lies_outside_is_refused_told_and_not_gone_to(asker: Asker, told: list[str]) -> None:
    bench: Any = Noting()
    assert teach(asker, bench, keys("4", "l", ""), "front left", (-20, 30)) == [0, 30]
    assert bench.places == [(0, 30)]
    assert "  That is outside." in told


def test_one_turn_tells_by_how_much_the_plate_rises_there(asker: Asker) -> None:
    bench: Any = Noting()
    pressed = keys("1", "1", "", "t", "1", "", "1", "", "", "2", "t")
    rise_mm = rise_by_a_turn_mm(asker, bench, pressed, FRONT_LEFT)
    assert bench.heights == [5.0, 4.0, 3.0, 2.8, 5.0, 4.0, 3.8, 2.8, 2.6, 2.4, 2.35]
    assert rise_mm == pytest.approx(2.35 - 2.8)
    assert bench.lifts == 2  # before each turn


def test_the_nozzle_is_not_lowered_past_where_gaps_are_measured(asker: Asker, told: list[str]) -> None:
    bench: Any = Noting()
    assert rise_by_a_turn_mm(asker, bench, keys(*"1111111", "q"), FRONT_LEFT) is None
    assert min(bench.heights) == 1.0
    assert sum("Not below 0.2 mm" in line for line in told) == 3
    assert bench.lifts == 1


@pytest.mark.parametrize("second", [("1", "1", "", "t"), ("1", "1", "", "2", "t"), ("q",)])
def test_a_change_too_small_to_tell_leaves_the_direction_unknown(
    asker: Asker, told: list[str], second: tuple[str, ...]
) -> None:
    bench: Any = Noting()
    assert rise_by_a_turn_mm(asker, bench, keys("1", "1", "", "t", *second), FRONT_LEFT) is None
    assert any("it stays unknown" in line for line in told)


def test_a_turn_that_was_not_made_ends_it_and_the_nozzle_stays_lifted(told: list[str]) -> None:
    bench: Any = Noting()
    asker = Asker(lambda _: "no", told.append)
    assert rise_by_a_turn_mm(asker, bench, keys("1", "t"), FRONT_LEFT) is None
    assert bench.heights == [5.0, 4.0]
    assert bench.lifts == 1


def test_the_trial_is_felt_at_the_point_nearest_to_the_adjuster() -> None:
    assert [nearest(MACHINE, adjuster).name for adjuster in MACHINE.adjuster] == [
        adjuster.name for adjuster in MACHINE.adjuster
    ]


def test_without_a_terminal_a_line_stands_for_a_key(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("Left\n\n"))
    assert [read_key("at 1"), read_key("at 2")] == ["l", ""]
    assert capsys.readouterr().out == "at 1\nat 2\n"
    with pytest.raises(InputRefused, match="nothing was written"):
        read_key("at 3")
