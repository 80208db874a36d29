"""A virtual operator levels twenty beds with four screws, through session, protocol and pseudo-terminal."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest


@pytest.mark.parametrize("seed", range(1, 21))
def test_a_bed_comes_truly_within_tolerance_in_three_rounds(alone: Callable[..., Any], seed: int) -> None:
    """The truth is the simulated plate's own, which the solver never sees."""
    done, bed = alone("four-corner-220", seed)
    assert (done.outcome.finding.verdict, done.outcome.proven) == ("within", True)
    assert done.true_worst_deviation_mm <= bed.tolerance_mm
    assert done.outcome.rounds <= 3
    assert bed.printer.record.violations == []
