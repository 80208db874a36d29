"""The table of a finding's points, beside the map."""

from __future__ import annotations

import pytest

from profiles.machine import Machine
from wizard.solver.finding import Finding, PointFinding
from wizard.widgets.marks import FULL
from wizard.widgets.points_table import points_table

LONG = ("front left", "front middle", "front right", "back middle")


def found(names: tuple[str, ...]) -> Finding:
    points = {
        name: PointFinding(0.04 + 0.1 * n, 0.012, -0.11 + 0.1 * n, 0.15) for n, name in enumerate(names)
    }
    return Finding(verdict="outside", status="turn", turns={}, points=points)


def test_no_points_give_no_table_and_no_head(machine: Machine) -> None:
    """After a job that was cut short before the first reading there is nothing to head."""
    assert points_table(found(()), machine, 60, FULL).plain == ""


@pytest.mark.parametrize("columns", range(33, 70))
def test_names_are_whole_and_rows_fit_from_33_columns_on(machine: Machine, columns: int) -> None:
    rows = points_table(found(LONG), machine, columns, FULL).plain.split("\n")
    assert len(rows) == 1 + len(LONG)
    assert all(row.startswith(name + " ") for row, name in zip(rows[1:], LONG, strict=True))
    assert max(map(len, rows)) <= columns


def test_the_judgement_is_a_word_where_there_is_room_and_a_sign_everywhere(machine: Machine) -> None:
    for columns, word in ((60, "narrow"), (34, "")):
        row = points_table(found(LONG), machine, columns, FULL).plain.split("\n")[1]
        assert row.split() == ["front", "left", "0.04", "0.02", "-0.11", FULL.narrow, *filter(None, [word])]


def test_a_very_long_name_gives_way_to_the_figures(machine: Machine) -> None:
    finding = found(("the corner with the filament holder",))
    row = points_table(finding, machine, 34, FULL).plain.split("\n")[1]
    assert len(row) <= 34
    assert "-0.11" in row


def test_the_head_stands_over_the_figures(machine: Machine) -> None:
    for columns in (34, 38, 60):
        head, row, *_ = points_table(found(LONG), machine, columns, FULL).plain.split("\n")
        assert head.index("off") + 3 == row.index("-0.11") + 5
