"""The virtual gauge: what the leaves tried so far amount to."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from wizard.readings import parse
from wizard.widgets.marks import FULL
from wizard.widgets.virtual_bench import LABEL, LeafTable, leaf_rows

LEAVES = (0.05, 0.10, 0.15, 0.20, 0.25, 0.30, 0.40, 0.50)


def _try(table: LeafTable, gap_mm: float) -> LeafTable:
    return table.with_word("slides" if (table.in_hand_mm or 0.0) <= gap_mm else "will not enter")


@given(gap_mm=st.floats(0.0, 0.6), start=st.sampled_from(LEAVES))
@settings(max_examples=60, deadline=None)
def test_trying_leaf_after_leaf_always_ends_in_a_reading_that_holds_the_gap(
    gap_mm: float, start: float
) -> None:
    table = LeafTable.begin(LEAVES, start)
    for _ in LEAVES:
        if not table.told:
            table = _try(table, gap_mm)
    reading = parse(table.told, leaves=LEAVES)
    assert reading.low_mm is None or reading.low_mm <= gap_mm
    assert reading.high_mm is None or gap_mm <= reading.high_mm


def test_two_leaves_that_are_no_neighbours_are_no_reading_yet() -> None:
    table = LeafTable(LEAVES, 0, {0.10: "slides", 0.20: "will not enter"})
    assert table.told == ""


def test_a_leaf_that_drags_has_entered() -> None:
    assert LeafTable(LEAVES, 0, {0.10: "drags", 0.15: "will not enter"}).told == "0.10-0.15"


def test_the_panel_is_always_labelled_as_simulated() -> None:
    assert LABEL in leaf_rows(LeafTable.begin(LEAVES, None), FULL, "v").plain
    assert "SIMULATED" in LABEL
