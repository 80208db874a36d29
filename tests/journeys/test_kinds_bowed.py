"""A plate bowed by some tenths on machines that follow it, and on one that can only move it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from wizard.facts import Facts
from wizard.instructions import mm, page
from wizard.requests import Confirm


@pytest.mark.parametrize(("kind", "seed"), [("touch-probe-255", 4), ("nozzle-contact-210", 4)])
def test_what_no_screw_removes_is_followed_by_software_and_truly_within(
    alone: Callable[..., Any], kind: str, seed: int
) -> None:
    """The grid is touched, not read by gauge; then the plate is within, and truly so."""
    done, bed = alone(kind, seed, "bowed")
    assert (done.outcome.finding.verdict, done.outcome.proven) == ("within", True)
    assert done.true_worst_deviation_mm <= bed.tolerance_mm
    assert bed.printer.plate.grid.active
    assert bed.printer.record.violations == []


@pytest.mark.parametrize("seed", [3, 4])
def test_motors_do_not_chase_what_they_cannot_remove(alone: Callable[..., Any], seed: int) -> None:
    """The bow is told with its figure: half of the flatness is left, as the plate's own truth says."""
    done, bed = alone("motor-levelled-300", seed, "bowed")
    finding = done.outcome.finding
    assert finding.status == "not-by-adjusters"
    assert not done.outcome.proven
    assert done.true_worst_deviation_mm > bed.tolerance_mm
    left_mm = finding.shape.flatness_minimum_zone_mm / 2.0
    assert done.true_worst_deviation_mm == pytest.approx(left_mm, abs=bed.tolerance_mm / 2.0)
    told = " ".join(" ".join(page(Confirm("motors-next", finding), Facts(bed.printer.machine)).body).split())
    assert "beats following the plate by software" in told
    assert f"flatness {mm(finding.shape.flatness_minimum_zone_mm)} mm" in told
    assert bed.printer.record.violations == []
