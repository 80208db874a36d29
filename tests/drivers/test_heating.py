"""Watching a heater: reached, on its way, dead, or running away."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drivers.errors import PrinterFault
from drivers.heating import HeaterRules, HeaterWatch, temperatures
from drivers.interface import Temperatures
from drivers.replies import parse

RULES = HeaterRules("plate", most_c=110.0, window_s=60.0)


def watch(target_c: float = 60.0) -> HeaterWatch:
    return HeaterWatch(RULES, target_c, 0.0)


def test_a_heater_that_climbs_slowly_is_waited_for():
    watched = watch()
    answers = [watched.reached(20.0 + 0.04 * second, float(second)) for second in range(1000)]
    assert answers.index(True) == 975


def test_a_heater_that_stands_still_is_a_fault_after_its_window():
    watched = watch()
    watched.reached(20.0, 0.0)
    watched.reached(20.2, 60.0)
    with pytest.raises(PrinterFault, match="plate does not heat"):
        watched.reached(20.3, 61.0)


def test_a_heater_that_falls_back_is_a_fault_too():
    watched = watch()
    watched.reached(50.0, 0.0)
    for second in range(61):
        watched.reached(50.0 - 0.1 * second, float(second))
    with pytest.raises(PrinterFault, match="does not heat"):
        watched.reached(44.0, 62.0)


def test_a_heater_near_its_target_may_dawdle():
    watched = watch()
    assert not any(watched.reached(57.5, float(second)) for second in range(1000))


def test_cooling_down_to_the_target_is_waited_for_as_long_as_it_takes():
    watched = watch()
    assert [watched.reached(celsius, 10_000.0 * nth) for nth, celsius in enumerate((90, 75, 61))][-1]


def test_far_above_the_limit_is_a_fault():
    with pytest.raises(PrinterFault, match="above its limit of 110"):
        watch().reached(125.1, 0.0)


def test_a_machine_that_tells_no_temperature_is_named():
    watched = watch()
    for second in range(4):
        watched.reached(None, float(second))
    with pytest.raises(PrinterFault, match="does not tell the temperature of the plate"):
        watched.reached(None, 5.0)


@given(st.lists(st.one_of(st.none(), st.floats(-50, 125)), max_size=40))
def test_reached_means_within_a_degree(values):
    watched = watch()
    for second, value in enumerate(values):
        try:
            reached = watched.reached(value, float(second))
        except PrinterFault:
            return
        assert not reached or (value is not None and abs(value - 60.0) <= 1.0)


@pytest.mark.parametrize(
    ("line", "wanted"),
    [
        ("T:21.5 /0.0 B:60.1 /60.0 @:0 B@:0", Temperatures(60.1, 60.0, 21.5, 0.0)),
        ("T:21.5 B:60.1", Temperatures(60.1, None, 21.5, None)),
        ("T0:21.5 /0.0 T1:30.0 /0.0 B:60.1 /60.0", Temperatures(60.1, 60.0, 21.5, 0.0)),
        ("T:21.5 /200.0 T0:21.5 /200.0 B:-5.0 /0.0", Temperatures(-5.0, 0.0, 21.5, 200.0)),
        ("T:21.5 /0.0", Temperatures(None, None, 21.5, 0.0)),
    ],
)
def test_what_a_report_tells_of_plate_and_nozzle(line, wanted):
    assert temperatures(parse(line)) == wanted
