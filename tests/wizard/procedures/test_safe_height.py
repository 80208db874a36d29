"""A lowering of the nozzle is cut to what is known to be free."""

from __future__ import annotations

import msgspec
from hypothesis import given
from hypothesis import strategies as st

from profiles.load import load
from profiles.machine import Machine
from wizard.facts import Facts
from wizard.procedures.approach import KEEP_MM
from wizard.procedures.safe_height import kept_free
from wizard.rounds import Reading
from wizard.solver.finding import Finding, PointFinding


def finding(change_mm: float | None, gap_mm: float = 0.6, turned_mm: float = 0.0) -> Finding:
    """Return a finding that wants a height change, the turns moving each gap by `turned_mm`."""
    point = PointFinding(gap_mm, 0.2, gap_mm - 0.15, gap_mm + turned_mm + (change_mm or 0.0))
    return Finding("outside", "turn", points={"centre": point}, height_change_mm=change_mm)


def facts(machine: Machine, reading: Reading | None) -> Facts:
    return msgspec.structs.replace(Facts(machine), readings={"centre": reading} if reading else {})


def test_a_guess_below_what_a_card_has_passed_under_is_cut(four_corners: Machine) -> None:
    safe = kept_free(facts(four_corners, Reading(0.31, None)), finding(-1.4))
    assert safe.height_change_mm is not None
    assert abs(safe.height_change_mm - (KEEP_MM - 0.31)) < 1e-9


def test_what_is_known_to_be_free_may_be_used(four_corners: Machine) -> None:
    wanted = finding(-0.45)
    assert kept_free(facts(four_corners, Reading(0.59, 0.61)), wanted) == wanted


def test_what_the_turns_take_away_is_counted(four_corners: Machine) -> None:
    safe = kept_free(facts(four_corners, Reading(0.5, 0.55)), finding(-0.4, turned_mm=-0.3))
    assert safe.height_change_mm is not None
    assert abs(safe.height_change_mm - (KEEP_MM - 0.2)) < 1e-9


def test_where_no_reading_tells_anything_nothing_is_lowered(four_corners: Machine) -> None:
    for reading in (None, Reading(None, 0.9)):
        assert kept_free(facts(four_corners, reading), finding(-0.3)).height_change_mm == 0.0


def test_raising_and_no_change_are_left_as_they_are(four_corners: Machine) -> None:
    for change_mm in (None, 0.0, 0.4):
        wanted = finding(change_mm)
        assert kept_free(facts(four_corners, None), wanted) == wanted


@given(st.floats(-2.0, 2.0), st.floats(-0.5, 2.0), st.floats(-1.0, 1.0))
def test_never_less_than_a_little_is_left_unless_it_was_gone_before(
    change_mm: float, low_mm: float, turned_mm: float
) -> None:
    machine = load("four-corner-220")
    safe = kept_free(facts(machine, Reading(low_mm, None)), finding(change_mm, turned_mm=turned_mm))
    assert safe.height_change_mm is not None
    assert safe.height_change_mm >= min(change_mm, 0.0)
    if safe.height_change_mm < 0.0:
        assert low_mm + turned_mm + safe.height_change_mm >= KEEP_MM - 1e-9
