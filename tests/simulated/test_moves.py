"""One straight move, and what a watcher of it saw."""

from __future__ import annotations

import pytest

from drivers.simulated.moves import TOUCH_MM, Segment, watch
from drivers.simulated.plate import Plate
from drivers.simulated.record import Record

CLEARANCE = 5.0


def seen(machine, origin, goal, start="snugged"):
    record = Record()
    watch(Segment(0.0, 1.0, origin, goal), Plate(machine, 1, start), CLEARANCE, record)
    return [violation.kind for violation in record.violations]


def test_a_move_is_at_its_ends_at_its_ends_and_between_them_between():
    move = Segment(10.0, 20.0, (0.0, 0.0, 5.0), (100.0, 50.0, 0.0))
    assert move.at(5.0) == move.at(10.0) == (0.0, 0.0, 5.0)
    assert move.at(12.0) == (20.0, 10.0, 4.0)
    assert move.at(20.0) == move.at(99.0) == (100.0, 50.0, 0.0)


def test_a_move_of_no_length_is_at_its_end():
    assert Segment(1.0, 1.0, (0.0, 0.0, 0.0), (0.0, 0.0, 1.0)).at(1.0) == (0.0, 0.0, 1.0)


@pytest.mark.parametrize(
    ("origin", "goal", "kinds"),
    [
        ((0, 0, 5.0), (100, 100, 5.0), []),
        ((0, 0, 4.99), (100, 100, 5.0), ["low-sideways"]),
        ((0, 0, 5.0), (100, 100, 4.9), ["low-sideways"]),
        ((50, 50, 5.0), (50, 50, 0.2), []),
        ((50, 50, 0.2), (50, 50, 5.0), []),
        ((50, 50, 5.0), (50, 50, -1.0), ["crash"]),
        ((50, 50, -1.0), (50, 50, 5.0), []),
        ((-30, 50, -1.0), (-5, 50, -1.0), ["low-sideways"]),
        ((-30, 50, -1.0), (60, 50, -1.0), ["low-sideways", "crash"]),
        ((-30, 50, -1.0), (260, 50, -1.0), ["low-sideways", "crash"]),
    ],
)
def test_what_no_careful_driver_does_is_recorded_and_nothing_else(machine, origin, goal, kinds):
    assert seen(machine, origin, goal) == kinds


def test_a_crash_tells_where_and_how_deep(machine):
    plate, record = Plate(machine, 1), Record()
    z = -plate.gap_at(70.0, 80.0, 0.0) - 0.3
    watch(Segment(0.0, 1.0, (70.0, 80.0, 5.0), (70.0, 80.0, z)), plate, CLEARANCE, record)
    (crash,) = record.crashes
    assert crash.at_mm == (70.0, 80.0, z)
    assert crash.depth_mm == pytest.approx(0.3)
    assert crash.depth_mm > TOUCH_MM


def test_over_a_bed_that_stands_high_even_the_measuring_height_is_a_crash(machine):
    assert seen(machine, (110, 110, 5.0), (110, 110, 0.2), start="high") == ["crash"]
