"""What a verdict says of points that only prove, as long as they are not read."""

from __future__ import annotations

from profiles.load import load
from wizard.instructions.findings import finding_lines
from wizard.rounds import Reading, Round
from wizard.solver import solve

FOUR = load("four-corner-220")
RIGHT = Reading(0.14, 0.16, "feel")


def lines(names: list[str]) -> tuple[str, ...]:
    return finding_lines(solve(FOUR, [Round(dict.fromkeys(names, RIGHT))]), FOUR)


def test_within_is_said_of_what_was_read_and_what_is_left_is_named() -> None:
    told = lines([point.name for point in FOUR.levelling_points])
    assert told[0].startswith("Within: every gap read so far is 0.15 +/- 0.05 mm")
    assert "Not read yet: front middle, right middle and back middle, by which it is proven." in told


def test_once_all_are_read_it_is_said_of_every_gap() -> None:
    told = lines([point.name for point in FOUR.point])
    assert told[0].startswith("Within: every gap is 0.15 +/- 0.05 mm")
    assert not any("Not read yet" in line for line in told)
