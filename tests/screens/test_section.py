"""Sections through the bed, and the history of the run."""

from __future__ import annotations

import msgspec
import pytest
from rich.text import Text

from profiles.machine import Machine
from wizard.facts import Facts
from wizard.rounds import Reading, Round
from wizard.solver.finding import Finding
from wizard.widgets.marks import FULL, PLAIN
from wizard.widgets.panel import Block, stacked
from wizard.widgets.run_table import run_table
from wizard.widgets.section import Place, Section, known_of, sections
from wizard.widgets.section_drawing import GUTTER, STEPS_MM, draw_section, row_mm

FLAT = Section(
    "left to right through a", 220.0, (Place("a", 30.0, -0.03, -0.01), Place("b", 190.0, 0.03, 0.05))
)


def test_a_section_runs_through_the_row_of_the_current_point(machine: Machine, facts: Facts) -> None:
    """Three points are read: the two on the left make a row from front to back."""
    (cut,) = sections(machine, known_of(facts, None), "back left")
    assert cut.words == "front to back at back left"
    assert [(place.name, place.along_mm) for place in cut.places] == [
        ("front left", 30.0),
        ("back left", 190.0),
    ]
    assert cut.places[1].high_mm is None


def test_a_finding_gives_bounds_of_twice_its_uncertainty(facts: Facts, finding: Finding) -> None:
    """U = 2u, as ISO 14253-1 is applied everywhere else."""
    low_mm, high_mm = known_of(facts, finding)["back left"]
    assert (low_mm, high_mm) == pytest.approx((0.23 - 0.024, 0.23 + 0.024))


def test_without_two_points_in_a_row_there_is_no_section(machine: Machine) -> None:
    assert sections(machine, {"centre": (0.0, 0.1)}, "centre") == ()


def test_along_it_is_true_to_scale_and_up_is_nearer_to_the_nozzle() -> None:
    columns, rows = 60, 9
    lines = draw_section(FLAT, 0.05, columns, rows, FULL).lines()
    places = [(line.index(FULL.read), nth) for nth, line in enumerate(lines) if FULL.read in line]
    (narrow_at, narrow_row), (wide_at, wide_row) = sorted(places)
    assert narrow_row < (rows - 2) // 2 < wide_row
    room = columns - GUTTER - 1
    assert wide_at - narrow_at == pytest.approx(160.0 / 220.0 * room, abs=1.0)


@pytest.mark.parametrize("most_mm", [0.011, 0.05, 0.3, 1.7, 4.0])
def test_every_bound_finds_room_in_the_smallest_round_scale(most_mm: float) -> None:
    section = Section("", 100.0, (Place("a", 0.0, None, most_mm), Place("b", 50.0, -most_mm, None)))
    step_mm = row_mm(section, 0.005, 3)
    assert 3 * step_mm >= most_mm
    assert step_mm == STEPS_MM[0] or 3 * STEPS_MM[STEPS_MM.index(step_mm) - 1] < most_mm


def test_a_point_that_is_open_on_a_side_is_drawn_to_the_edge_without_a_middle() -> None:
    section = Section("", 100.0, (Place("a", 0.0, 0.1, None), Place("b", 100.0, -0.1, 0.1)))
    lines = draw_section(section, 0.05, 40, 9, PLAIN).lines()
    at_a = [line[GUTTER] for line in lines]
    assert PLAIN.read not in at_a
    assert at_a[6] == PLAIN.upright


def test_the_history_shows_readings_and_turns_of_the_newest_rounds(facts: Facts) -> None:
    first = Round(readings={"centre": Reading(0.25, 0.30, "leaf")}, turned={"front left": -0.25})
    last = Round(readings={"centre": Reading(0.15, 0.20, "leaf")}, height_change_mm=0.02)
    told = msgspec.structs.replace(facts, rounds=(first, last))
    rows = run_table(told, 60, FULL)
    assert rows[0].split() == ["round", "1", "2"]
    assert next(row.split() for row in rows if row.startswith("centre")) == [
        "centre",
        "0.28",
        "▲",
        "0.17",
        "=",
    ]
    assert "↺ 1/4" in rows[-2]
    assert rows[-1].split() == ["nozzle", "up", FULL.dash, "+0.02", "mm"]
    assert run_table(told, 20, FULL)[0].split() == ["round", "2"]
    assert max(map(len, rows)) <= 60


def test_a_block_that_finds_no_room_gives_way_to_a_smaller_one() -> None:
    blocks = [Block("high", Text("1\n2\n3\n4")), Block("low", Text("1"))]
    assert stacked(blocks, 2).plain == "low\n1"
    assert stacked(blocks, 8).plain.count("\n") < 8
    assert stacked(blocks, 1).plain == ""
