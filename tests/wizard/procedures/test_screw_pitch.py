"""What a turn of an endstop screw teaches."""

from __future__ import annotations

import pytest

from profiles.machine import Thread
from wizard.procedures.screw_pitch import Before, learned, nominal, wished_turns
from wizard.rounds import Reading

UNKNOWN = Thread(thread="M3", clockwise="unknown")
RAISES = Thread(thread="M3", clockwise="raises")


@pytest.mark.parametrize("way", [1.0, -1.0])
def test_a_turn_tells_the_direction_and_the_pitch(way: float) -> None:
    """A quarter turn of an M3 screw (ISO 261: 0.5 mm a turn) moves the nozzle by 0.125 mm, either way."""
    gap_mm = 0.50 + way * 0.125
    known = learned(nominal(UNKNOWN), 0.25, Before(0.50, 0.005), Reading(gap_mm - 0.01, gap_mm + 0.01))
    assert known.sure
    assert known.mm_per_turn == pytest.approx(way * 0.5, abs=0.001)


def test_what_a_turn_shows_is_weighed_against_the_thread() -> None:
    """The mean of two facts lies between them, nearer to the surer one, and is surer than both (JCGM 100)."""
    before = nominal(RAISES)
    known = learned(before, 1.0, Before(0.20, 0.01), Reading(0.79, 0.81))
    assert 0.5 < known.mm_per_turn < 0.6
    assert known.mm_per_turn > 0.55  # 0.6 with about 0.02 against 0.5 with 0.04
    assert known.u_mm < before.u_mm


@pytest.mark.parametrize("reading", [Reading(0.5, None), Reading(None, 0.1), Reading()])
def test_a_reading_open_on_one_side_teaches_no_pitch(reading: Reading) -> None:
    assert learned(nominal(RAISES), 0.25, Before(0.5, 0.01), reading) == nominal(RAISES)


@pytest.mark.parametrize(("reading", "way"), [(Reading(0.7, None), 1.0), (Reading(None, 0.55), -1.0)])
def test_an_open_reading_tells_the_direction_where_the_other_one_cannot_be(
    reading: Reading, way: float
) -> None:
    """From 0.65 mm a quarter turn of M3 leads to 0.775 or 0.525 mm; each reading leaves only one of them."""
    known = learned(nominal(UNKNOWN), 0.25, Before(0.65, 0.02), reading)
    assert known.sure
    assert known.mm_per_turn == way * 0.5


def test_tries_that_tell_nothing_go_to_and_fro_and_further_each_time() -> None:
    pitch, at, seen = nominal(UNKNOWN), 0.0, []
    for _ in range(4):
        turns = wished_turns(pitch, -0.6)
        at += turns
        seen.append(at)
        pitch = learned(pitch, turns, Before(2.0, 1.0), Reading(0.7, None))
        assert not pitch.sure
    assert seen == [-0.25, 0.5, -1.0, 2.0]


def test_a_screw_that_was_not_turned_teaches_nothing() -> None:
    assert learned(nominal(RAISES), 0.0, Before(0.5, 0.01), Reading(0.4, 0.42)) == nominal(RAISES)
