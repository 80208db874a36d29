"""The map shows which way a plate on three supports tips."""

from __future__ import annotations

import pytest

from profiles.load import load
from wizard.widgets.bed_drawing import draw_bed
from wizard.widgets.marks import PLAIN
from wizard.widgets.scene import Scene

MACHINE = load("three-point-225")


def drawn(turns: float, name: str = "front left") -> list[str]:
    return draw_bed(Scene(machine=MACHINE, turns={name: turns}, turning=name), 60, 26, PLAIN).lines()


def test_raising_the_front_left_lowers_the_back_right() -> None:
    """The front left support goes up, and beyond the line of the other two the plate goes down."""
    lines = drawn(0.25)
    assert lines[-2].lstrip().startswith("|up")
    assert lines[1].rstrip().endswith("down|")


def test_a_turn_the_other_way_swaps_up_and_down() -> None:
    lines = drawn(-0.25)
    assert lines[-2].lstrip().startswith("|down")
    assert lines[1].rstrip().endswith("up|")


@pytest.mark.parametrize("columns", [20, 40, 80])
def test_the_support_at_the_back_tips_front_against_back(columns: int) -> None:
    lines = draw_bed(
        Scene(machine=MACHINE, turns={"back middle": 0.5}, turning="back middle"),
        columns,
        columns // 2,
        PLAIN,
    ).lines()
    assert "down" in lines[-2]
    assert "up" in lines[1]


def test_nothing_is_drawn_on_four_supports() -> None:
    four = load("four-corner-220")
    lines = draw_bed(
        Scene(machine=four, turns={"front left": 0.25}, turning="front left"), 60, 26, PLAIN
    ).lines()
    assert not any("up" in line or "down" in line for line in lines)
