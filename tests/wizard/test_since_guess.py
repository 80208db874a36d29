"""Where a recheck looks first: the likeliest gap by all that may have happened."""

from __future__ import annotations

import numpy as np
import pytest

from profiles.load import load
from wizard.base import Base
from wizard.rounds import Reading, Round
from wizard.since import guess

FOUR = load("four-corner-220")


def about(gap_mm: float) -> Reading:
    return Reading(gap_mm - 0.01, gap_mm + 0.01, "feel")


@pytest.fixture
def base() -> Base:
    return Base("abc", "2026-01-01T00:00:00+00:00", 12.0, (Round({p.name: about(0.15) for p in FOUR.point}),))


def test_before_any_reading_every_gap_is_where_it_was_within_what_another_nozzle_may_do(base: Base) -> None:
    told = guess(FOUR, base, ())
    assert [gap for gap, _ in told.values()] == pytest.approx([0.15] * len(told), abs=0.001)
    assert all(u > 0.2 for _, u in told.values())


def test_one_reading_moves_all_with_it_and_leaves_room_for_a_plate_that_has_moved(base: Base) -> None:
    told = guess(FOUR, base, (Round({"front left": about(-0.05)}),))
    assert [gap for gap, _ in told.values()] == pytest.approx([-0.05] * len(told), abs=0.02)
    assert told["front left"][1] < 0.02
    assert told["back right"][1] > 0.02


def test_turns_and_what_is_read_after_them_are_followed(base: Base) -> None:
    """Half a turn of M3 clockwise at all four lowers the plate by 0.25 mm."""
    first = {name: about(-0.10) for name in ("front left", "right middle", "back left")}
    turned = Round(first, {adjuster.name: 0.5 for adjuster in FOUR.adjuster})
    told = guess(FOUR, base, (turned,))
    assert told["centre"][0] == pytest.approx(0.15, abs=0.02)
    read = guess(FOUR, base, (turned, Round({"centre": about(0.17)})))
    assert read["centre"][0] == pytest.approx(0.17, abs=0.01)
    assert read["centre"][1] < told["centre"][1]
    assert np.isfinite([value for pair in read.values() for value in pair]).all()
