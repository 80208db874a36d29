"""How low the nozzle may go, by what is known."""

from __future__ import annotations

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.machine import Machine
from wizard import requests as ask
from wizard.facts import Facts, after
from wizard.procedures.approach import (
    KEEP_MM,
    SURE,
    Z_STEP_MM,
    Visit,
    doubts_mm,
    lowest_mm,
    rounded_up_mm,
    surely_free_mm,
)
from wizard.procedures.job import Job
from wizard.rounds import Reading, Round

READ = Reading(0.40, 0.45, "leaf")


def job_with(machine: Machine, *rounds: Round, **facts: object) -> Job:
    return Job(msgspec.structs.replace(Facts(machine), rounds=rounds, **facts))


def visit(number: int = 1, point: str = "centre", doubt_mm: float = 0.0) -> Visit:
    return Visit(point, number, 1, 5, "verify", doubt_mm)


def all_read(machine: Machine, reading: Reading = READ, **more: object) -> Round:
    return Round({p.name: reading for p in machine.point}, **more)  # type: ignore[arg-type]


def test_over_the_first_point_of_all_the_nozzle_stays_above_a_plate_left_a_millimetre_too_high(
    machine: Machine,
) -> None:
    assert surely_free_mm(job_with(machine), visit()) is None
    assert lowest_mm(job_with(machine), visit()) > machine.measuring_height_mm + 1.2


@pytest.mark.parametrize(
    ("low_mm", "up_mm"), [(0.9, 0.1), (0.3, 0.32), (0.0, 0.62), (-0.7, 1.32), (None, 1.26), (-9.0, 4.8)]
)
def test_over_a_point_never_read_the_nozzle_stays_as_high_as_the_points_before_leave_doubt(
    machine: Machine, low_mm: float | None, up_mm: float
) -> None:
    """0.6 mm is allowed for an uneven plate; at most at clearance. Without leaves at least 0.6 mm up."""
    reading = Reading(low_mm, 1.0)
    name = machine.point[0].name
    job = job_with(machine, Round({name: reading}), readings={name: reading})
    assert lowest_mm(job, visit()) == pytest.approx(machine.measuring_height_mm + up_mm)
    job.has_leaves = False
    assert lowest_mm(job, visit()) == pytest.approx(machine.measuring_height_mm + max(up_mm, 0.6))


def test_what_a_gauge_has_passed_under_since_the_last_change_is_free(machine: Machine) -> None:
    job = job_with(machine, Round({"centre": READ}), readings={"centre": READ})
    assert surely_free_mm(job, visit()) == 0.40
    job = job_with(machine, Round({"centre": Reading(-0.3, -0.2)}), readings={"centre": Reading(-0.3, -0.2)})
    assert lowest_mm(job, visit()) == pytest.approx(machine.measuring_height_mm + 0.3 + KEEP_MM)


def test_after_a_change_only_the_expectation_less_its_doubts_is_trusted(machine: Machine) -> None:
    turned = {machine.adjuster[0].name: 0.25}
    job = job_with(machine, all_read(machine, turned=turned))
    gap_mm, u_mm = job.expected("centre")
    assert u_mm > 0.0
    assert surely_free_mm(job, visit(2)) == pytest.approx(gap_mm - SURE * u_mm)
    assert surely_free_mm(job, visit(2, doubt_mm=0.1)) == pytest.approx(gap_mm - SURE * u_mm - 0.1)


def test_a_card_that_did_not_pass_in_this_round_makes_nothing_free(machine: Machine) -> None:
    seen = after(Facts(machine), ask.LookForDaylight("centre", 0.8, 0.76), ask.Seen(False))
    job = Job(msgspec.structs.replace(seen, parked_at="centre", z_mm=0.8))
    assert surely_free_mm(job, visit()) is None
    assert lowest_mm(job, visit()) == 0.8


def test_where_the_nozzle_stands_it_may_stay_but_never_below_the_floor(machine: Machine) -> None:
    job = job_with(machine, all_read(machine, Reading(5.0, 5.1)), readings={"centre": Reading(5.0, 5.1)})
    assert lowest_mm(job, visit()) == machine.motion.z_mm[0]


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_the_doubt_is_how_far_the_plate_would_stand_higher_had_a_turn_gone_the_other_way(
    machine: Machine, side: float
) -> None:
    adjuster = machine.adjuster[0]
    lowering = -1.0 if adjuster.clockwise == "raises" else 1.0
    told = all_read(machine, turned={adjuster.name: side * lowering * 0.25})
    doubts = doubts_mm(machine, (told,))
    at_screw = doubts[machine.point[0].name]
    pitch_mm = {"M3": 0.5, "M4": 0.7}[adjuster.thread or ""]
    if side > 0.0:  # the plate was to go down at the screw: the other way it stands higher by twice that
        assert at_screw == pytest.approx(2.0 * 0.25 * pitch_mm, rel=0.3)
    else:
        assert at_screw == pytest.approx(0.0, abs=0.02)


def test_a_height_change_may_have_gone_the_other_way_too(machine: Machine) -> None:
    assert all(
        d == pytest.approx(0.2, abs=0.02)
        for d in doubts_mm(machine, (all_read(machine, height_change_mm=0.1),)).values()
    )
    assert doubts_mm(machine, ()) == {}


@given(st.floats(-1.0, 300.0))
def test_a_height_is_rounded_up_to_a_step_and_by_less_than_one(z_mm: float) -> None:
    rounded = rounded_up_mm(z_mm)
    assert z_mm - 1e-6 <= rounded < z_mm + Z_STEP_MM
    assert rounded_up_mm(rounded) == rounded
