"""Paper folded into layers, where there are no leaves."""

from __future__ import annotations

import msgspec
import pytest

from profiles.machine import Gauge, Heat, Machine
from wizard import requests as ask
from wizard.facts import Facts, after
from wizard.procedures.approach import Visit, lowest_mm
from wizard.procedures.folded import OFF, by_layers, layers_for
from wizard.procedures.job import Job
from wizard.rounds import Reading, Round

VISIT = Visit("centre", 1, 1, 5, "first")


@pytest.fixture
def bare(four_corners: Machine) -> Machine:
    """A machine measured cold with nothing but a card."""
    return msgspec.structs.replace(four_corners, gauge=Gauge(card_mm=0.1), heat=Heat())


def knowing(machine: Machine, reading: Reading) -> Job:
    facts = Facts(machine, rounds=(Round({"centre": reading}),), readings={"centre": reading}, gauge="feel")
    return Job(msgspec.structs.replace(facts, parked_at="centre", z_mm=0.8))


def test_a_gap_that_the_single_card_reaches_needs_no_layers(bare: Machine) -> None:
    assert layers_for(knowing(bare, Reading(0.08, None)), VISIT, 0.15) is None


@pytest.mark.parametrize(("wish_mm", "thick_mm"), [(0.25, 0.2), (0.35, 0.4), (0.6, 0.6)])
def test_the_fewest_layers_that_reach_are_taken_and_the_nozzle_stays_where_it_is_free(
    bare: Machine, wish_mm: float, thick_mm: float
) -> None:
    job = knowing(bare, Reading(0.08, None))
    layers = layers_for(job, VISIT, wish_mm)
    assert layers is not None
    assert layers.thick_mm == pytest.approx(thick_mm)
    assert layers.z_mm >= lowest_mm(job, VISIT) - 1e-9
    assert bare.measuring_height_mm + layers.thick_mm - layers.z_mm == pytest.approx(wish_mm)


def test_layers_that_would_tell_nothing_new_are_not_asked_for(bare: Machine) -> None:
    assert layers_for(knowing(bare, Reading(0.55, 0.62)), VISIT, 0.60) is None


def test_with_leaves_at_hand_nothing_is_folded(four_corners: Machine) -> None:
    assert layers_for(knowing(four_corners, Reading(0.08, None)), VISIT, 0.4) is None


@pytest.mark.parametrize(
    ("clear", "low", "high"), [(True, 0.4 * (1 - OFF), None), (False, None, 0.4 * (1 + OFF))]
)
def test_what_layers_tell_is_as_wide_as_they_may_be_off(
    bare: Machine, clear: bool, low: float | None, high: float | None
) -> None:
    look = ask.LookForDaylight("centre", bare.measuring_height_mm, 0.4)
    facts = after(Facts(bare), look, ask.Seen(clear))
    assert facts.readings["centre"] == Reading(
        None if low is None else pytest.approx(low), None if high is None else pytest.approx(high), "leaf"
    )


def test_layers_left_out_leave_the_point_out(bare: Machine) -> None:
    job = knowing(bare, Reading(0.08, None))
    layers = layers_for(job, VISIT, 0.4)
    assert layers is not None
    course = by_layers(job, VISIT, layers)
    request = next(course)
    while not isinstance(request, ask.LookForDaylight):
        request = course.send(ask.Done())
    with pytest.raises(StopIteration) as end:
        course.send(ask.Skipped("cannot reach it"))
    assert end.value.value is False
