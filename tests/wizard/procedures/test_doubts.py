"""What a gap may be less than expected, and when a reading has settled that it is not."""

from __future__ import annotations

import pytest

from profiles.machine import Machine
from wizard.procedures.doubts import Doubts
from wizard.rounds import Reading, Round
from wizard.solver import expect

WIDE_GAP = Reading(0.60, 0.62, "leaf")


@pytest.fixture
def turned(machine: Machine) -> tuple[Round, ...]:
    """Every point wide open, and the first adjuster then turned so that the plate goes down there."""
    adjuster = machine.adjuster[0]
    down = -0.5 if adjuster.clockwise == "raises" else 0.5
    return (Round({p.name: WIDE_GAP for p in machine.point}, {adjuster.name: down}),)


def test_a_gap_that_was_to_grow_may_have_shrunk(machine: Machine, turned: tuple[Round, ...]) -> None:
    assert Doubts(machine, turned).mm(machine.point[0].name, {}) > 0.3


def test_a_reading_as_expected_takes_the_doubt_away_at_every_point(
    machine: Machine, turned: tuple[Round, ...]
) -> None:
    at_screw = machine.point[0].name
    gap_mm, _ = expect(machine, turned)[at_screw]
    as_expected = {at_screw: Reading(gap_mm - 0.03, gap_mm + 0.03, "leaf")}
    doubts = Doubts(machine, turned)
    assert all(doubts.mm(p.name, as_expected) == 0.0 for p in machine.point)


def test_an_open_reading_that_fits_both_ways_leaves_the_doubt(
    machine: Machine, turned: tuple[Round, ...]
) -> None:
    at_screw = machine.point[0].name
    doubts = Doubts(machine, turned)
    assert doubts.mm(at_screw, {at_screw: Reading(0.05, None)}) == doubts.mm(at_screw, {})


def test_before_any_change_there_is_no_doubt(machine: Machine) -> None:
    assert Doubts(machine, ()).mm(machine.point[0].name, {}) == 0.0
