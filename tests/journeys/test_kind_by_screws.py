"""Wing nuts under four corners, and three screws: by line, and what the person is told of them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from profiles.load import load
from wizard.facts import Facts
from wizard.instructions import page
from wizard.requests import ShowResult, Turn


@pytest.mark.parametrize("kind", ["four-corner-220", "three-point-225"])
@pytest.mark.parametrize("seed", [1, 2])
def test_a_bowed_plate_is_called_so_or_truly_within(alone: Callable[..., Any], kind: str, seed: int) -> None:
    """A bow of some tenths is more than any screw removes; the truth is the simulated plate's own."""
    done, bed = alone(kind, seed, "bowed")
    finding = done.outcome.finding
    assert finding.status == "not-by-adjusters"
    assert done.true_worst_deviation_mm > bed.tolerance_mm
    assert bed.printer.record.violations == []


def test_thumb_wheels_are_only_a_remark_at_the_end(alone: Callable[..., Any]) -> None:
    done, bed = alone("four-corner-220", 1)
    machine = bed.printer.machine
    told = " ".join(page(ShowResult(done.outcome.finding, 2, proven=True), Facts(machine)).body)
    assert "Thumb wheels" in told
    three = load("three-point-225")
    told = " ".join(page(ShowResult(done.outcome.finding, 2, proven=True), Facts(three)).body)
    assert "Thumb wheels" not in told


def test_on_three_supports_a_turn_is_told_as_tipping(alone: Callable[..., Any]) -> None:
    done, bed = alone("three-point-225", 1)
    finding = done.outcome.finding
    turn = Turn({"front left": 0.25, "back middle": -0.125}, 1, coarse=False, finding=finding)
    told = " ".join(page(turn, Facts(bed.printer.machine)).body)
    assert "tips the plate about the line through the other two" in " ".join(told.split())
