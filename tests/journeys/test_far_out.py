"""Beds that are found far out of range, too high, or bent: brought into range unharmed, or told honestly."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

PROFILES = ("four-corner-220", "three-point-225")


@pytest.mark.parametrize("start", ["far", "high", "tilted"])
@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("profile", PROFILES)
def test_a_bed_far_out_is_truly_brought_within_and_never_touched(
    alone: Callable[..., Any], profile: str, start: str, seed: int
) -> None:
    """By open brackets and coarse turns; the nozzle is never driven into the plate, nor the plate into it."""
    done, bed = alone(profile, seed, start)
    assert bed.printer.record.violations == []
    assert done.true_worst_deviation_mm <= bed.tolerance_mm
    assert (done.outcome.finding.verdict, done.outcome.proven) == ("within", True)


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("profile", PROFILES)
def test_a_bent_plate_ends_in_an_honest_finding(alone: Callable[..., Any], profile: str, seed: int) -> None:
    """No turn removes a bow: it is not called level, its flatness is named, and it was not harmed."""
    done, bed = alone(profile, seed, "bowed")
    finding = done.outcome.finding
    assert done.true_worst_deviation_mm > bed.tolerance_mm
    assert finding.verdict != "within"
    assert not done.outcome.proven
    assert finding.status == "not-by-adjusters"
    assert finding.shape.flatness_minimum_zone_mm > 2 * bed.tolerance_mm
    assert bed.printer.record.violations == []
