"""How low the nozzle may go, by what is known."""

from __future__ import annotations

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.machine import Machine
from wizard import requests as ask
from wizard.base import Base
from wizard.facts import Facts, after
from wizard.procedures.approach import (
    FIRST_UP_MM,
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
from wizard.procedures.unlevelled import LONGER_MM, MOVED_MM, highest_mm, rise_mm
from wizard.rounds import Reading, Round

READ = Reading(0.40, 0.45, "leaf")


def job_with(machine: Machine, *rounds: Round, **facts: object) -> Job:
    return Job(msgspec.structs.replace(Facts(machine), rounds=rounds, **facts))


def visit(number: int = 1, point: str = "centre", doubt_mm: float = 0.0) -> Visit:
    return Visit(point, number, 1, 5, "verify", doubt_mm)


def all_read(machine: Machine, reading: Reading = READ, **more: object) -> Round:
    return Round({p.name: reading for p in machine.point}, **more)  # type: ignore[arg-type]


def test_over_the_first_point_of_all_the_nozzle_stays_above_what_a_tilted_plate_can_rise_to(
    machine: Machine,
) -> None:
    assert surely_free_mm(job_with(machine), visit()) is None
    lowest = lowest_mm(job_with(machine), visit())
    assert lowest == pytest.approx(
        machine.measuring_height_mm + highest_mm(machine, machine.point_named("centre")) + KEEP_MM
    )
    assert lowest > machine.measuring_height_mm + 1.5
    assert lowest_mm(job_with(machine), visit(point="front left")) > lowest + 1.0


def test_in_a_recheck_the_first_stop_is_above_a_plate_that_a_nozzle_two_millimetres_longer_would_meet(
    machine: Machine,
) -> None:
    """Whatever the point, and over the others by what a plate that was level once may have moved."""
    base = Base("run", "2026-01-01T00:00:00+00:00", 3.0, (all_read(machine),))
    job = job_with(machine, base=base)
    for point in machine.point:
        up_mm = lowest_mm(job, visit(point=point.name)) - machine.measuring_height_mm
        assert up_mm == pytest.approx(LONGER_MM + KEEP_MM)
    read = {"centre": Reading(-1.9, -1.85, "leaf")}
    job = job_with(machine, Round(read), readings=read, base=base)
    gap_mm, u_mm = job.expected("front left")
    up_mm = lowest_mm(job, visit(point="front left")) - machine.measuring_height_mm
    assert up_mm == pytest.approx(min(1.9 + MOVED_MM, SURE * u_mm - gap_mm) + KEEP_MM)


@pytest.mark.parametrize("low_mm", [0.9, 0.3, 0.0, -0.7])
def test_over_a_point_never_read_the_nozzle_stays_above_what_the_plate_can_rise_to_from_a_point_read(
    machine: Machine, low_mm: float
) -> None:
    """Without leaves at least so high that one card tells something."""
    reading = Reading(low_mm, low_mm + 0.05)
    corner = machine.point[0]
    rise = rise_mm(machine, corner, machine.point_named("centre"))
    job = job_with(machine, Round({corner.name: reading}), readings={corner.name: reading})
    gap_mm, u_mm = job.expected("centre")
    up_mm = min(rise - low_mm, SURE * u_mm - gap_mm) + KEEP_MM
    assert lowest_mm(job, visit()) == pytest.approx(machine.measuring_height_mm + up_mm)
    job.has_leaves = False
    assert lowest_mm(job, visit()) == pytest.approx(machine.measuring_height_mm + max(up_mm, FIRST_UP_MM))


def test_of_several_points_read_the_one_that_bounds_it_best_counts(machine: Machine) -> None:
    """A point far off that stands low says nothing against what a near one shows."""
    corner, across = machine.point[0], machine.point[2]
    read = {"centre": Reading(0.4, 0.45), across.name: Reading(-0.8, -0.75)}
    job = job_with(machine, Round(read), readings=read)
    rise = rise_mm(machine, machine.point_named("centre"), corner)
    up_mm = lowest_mm(job, visit(point=corner.name)) - machine.measuring_height_mm
    assert up_mm <= rise - 0.4 + KEEP_MM + 1e-9


def test_where_the_points_read_foretell_a_gap_the_expectation_counts_less_its_uncertainty_and_doubt(
    machine: Machine,
) -> None:
    corner, *others = [p.name for p in machine.levelling_points]
    read = {name: Reading(0.40, 0.42, "leaf") for name in others}
    job = job_with(machine, Round(read), readings=read)
    gap_mm, u_mm = job.expected(corner)
    free_mm = gap_mm - SURE * u_mm
    by_neighbours = 0.40 - rise_mm(machine, machine.point_named("centre"), machine.point_named(corner))
    least = max(free_mm, by_neighbours)
    assert lowest_mm(job, visit(point=corner)) == pytest.approx(
        machine.measuring_height_mm + max(0.1, KEEP_MM - least)
    )
    doubtful = lowest_mm(job, visit(point=corner, doubt_mm=0.5))
    assert doubtful == pytest.approx(machine.measuring_height_mm + max(0.1, KEEP_MM - least + 0.5))


@pytest.mark.parametrize("low_mm", [None, -9.0])
def test_a_point_at_which_nothing_passed_lets_the_nozzle_no_lower_than_over_the_first(
    machine: Machine, low_mm: float | None
) -> None:
    """At most at clearance, which is as high as it ever comes down from."""
    name = machine.point[0].name
    reading = Reading(low_mm, -0.5)
    job = job_with(machine, Round({name: reading}), readings={name: reading})
    lowest = lowest_mm(job, visit())
    first = lowest_mm(job_with(machine), visit())
    assert first <= lowest <= machine.motion.clearance_mm


def test_after_a_change_the_points_read_before_it_bound_those_that_were_not(machine: Machine) -> None:
    """Each by what is expected of it now, less its uncertainty and the doubt whether the change went so."""
    read = {"centre": Reading(0.40, 0.42, "leaf")}
    job = job_with(machine, Round(read, height_change_mm=0.1))
    gap_mm, u_mm = job.expected("centre")
    corner = machine.point[0]
    least = gap_mm - SURE * u_mm - doubts_mm(machine, job.facts.rounds)["centre"]
    up_mm = rise_mm(machine, machine.point_named("centre"), corner) - least + KEEP_MM
    assert lowest_mm(job, visit(2, corner.name)) == pytest.approx(machine.measuring_height_mm + up_mm)


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
