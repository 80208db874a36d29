"""Heaters of the first order, and the plate that follows its sensor."""

from __future__ import annotations

from math import exp, inf

import pytest

from drivers.simulated.heaters import REACHED_C, ROOM_C, Heater, Soaking, bed_heater, nozzle_heater


def test_it_starts_at_room_temperature_and_off():
    heater = bed_heater(110.0)
    assert (heater.at(0.0), heater.at(1000.0), heater.target_c) == (ROOM_C, ROOM_C, 0.0)


def test_it_warms_by_the_exponential_law_up_to_the_target_and_no_further():
    heater = Heater(200.0, full_c=300.0, time_s=100.0)
    heater.set(200.0, now=10.0)
    assert heater.at(60.0) == pytest.approx(300.0 - (300.0 - ROOM_C) * exp(-0.5))
    assert heater.at(1000.0) == 200.0


def test_it_cools_by_the_exponential_law_towards_the_room():
    heater = Heater(200.0, full_c=300.0, time_s=100.0)
    heater.set(200.0, 0.0)
    heater.set(0.0, 500.0)
    assert heater.at(600.0) == pytest.approx(ROOM_C + (200.0 - ROOM_C) * exp(-1.0))


def test_it_foretells_when_the_target_is_reached_from_below_and_from_above():
    heater = Heater(200.0, full_c=300.0, time_s=100.0)
    for target, start in ((150.0, 0.0), (200.0, 1000.0), (80.0, 2000.0)):
        heater.set(target, start)
        due = heater.due(start)
        assert due > start
        assert not heater.reached(due - 1.0)
        assert heater.reached(due)
        assert abs(heater.at(due) - target) <= REACHED_C


@pytest.mark.parametrize(
    ("make", "target", "low", "high"), [(bed_heater, 60.0, 240, 360), (nozzle_heater, 200.0, 90, 180)]
)
def test_a_plate_takes_about_five_minutes_and_a_nozzle_about_two(make, target, low, high):
    heater = make(260.0 if make is nozzle_heater else 110.0)
    heater.set(target, 0.0)
    assert low < heater.due(0.0) < high


@pytest.mark.parametrize("limit", [0.0, 60.0, 110.0, 150.0, 300.0, 450.0])
def test_every_target_within_the_limit_can_be_reached(limit):
    for heater in (bed_heater(limit), nozzle_heater(limit)):
        heater.set(limit, 0.0)
        assert heater.due(0.0) < inf


def test_a_dead_heater_stays_cold_and_never_gets_there():
    heater = bed_heater(110.0)
    heater.dead = True
    heater.set(60.0, 0.0)
    assert heater.at(1e6) == ROOM_C
    assert heater.due(0.0) == inf
    assert not heater.hot_enough(1e6)


def test_off_is_reached_at_once():
    heater = bed_heater(110.0)
    heater.set(60.0, 0.0)
    heater.set(0.0, 400.0)
    assert heater.reached(400.0)
    assert heater.due(400.0) == 400.0


def test_a_plate_soaks_up_to_its_sensor_with_a_lag():
    heater = bed_heater(110.0)
    soaking = Soaking(heater)
    heater.set(60.0, 0.0)
    reached = heater.due(0.0)
    assert heater.at(reached) - soaking.at(reached) > 2.0
    assert soaking.at(reached + 300.0) == pytest.approx(60.0, abs=0.2)


def test_how_often_a_soaking_plate_is_asked_does_not_matter():
    heater = bed_heater(110.0)
    heater.set(60.0, 0.0)
    often, seldom = Soaking(heater), Soaking(heater)
    for tenth in range(3000):
        often.at(tenth / 10.0)
    assert often.at(300.0) == seldom.at(300.0)
