from __future__ import annotations

import math
from collections.abc import Callable

import msgspec
import pytest

from profiles import check_proof
from profiles.load import load, shipped
from profiles.machine import Gauge
from wizard.procedures.feel import ENOUGH_MM, FINEST_MM
from wizard.rounds import Reading, Round
from wizard.solver import priors, solve

FOUR = "four-corner-220"
Refuse = Callable[[str, str, str], str]


def test_supports_in_one_line_are_told_with_their_places(refused: Refuse) -> None:
    old = "at_mm = [30, 190]\nkind"
    machine = load(FOUR)
    in_line = msgspec.structs.replace(
        machine,
        adjuster=tuple(
            msgspec.structs.replace(each, at_mm=(30.0 + 40 * nth, 30.0 + 40.1 * nth))
            for nth, each in enumerate(machine.adjuster)
        ),
    )
    (fault,) = check_proof.faults(in_line)
    assert fault.key == "adjuster"
    assert fault.said.startswith("at_mm are X30 Y30 X70 Y70.1 ")
    assert "must not stand all in one line" in fault.said
    assert old in shipped()[FOUR].read_text()


@pytest.mark.parametrize("kept", [1, 2])
def test_fewer_than_three_supports_are_told_and_what_a_fixed_one_is(kept: int) -> None:
    machine = load(FOUR)
    few = msgspec.structs.replace(machine, adjuster=machine.adjuster[:kept])
    (fault,) = check_proof.faults(few)
    assert (
        fault.said
        == f"is missing; it must be given at least three times, but there are {kept}: what carries the plate"
        " elsewhere is one of kind fixed"
    )


def test_points_in_one_line_and_too_few_points_are_told() -> None:
    machine = load(FOUR)
    line = tuple(
        msgspec.structs.replace(point, at_mm=(10.0 * n + 20, 50.0)) for n, point in enumerate(machine.point)
    )
    told = [fault.key for fault in check_proof.faults(msgspec.structs.replace(machine, point=line))]
    few = list(check_proof.faults(msgspec.structs.replace(machine, point=machine.point[:2])))
    assert told == ["point"]
    assert "at least three times, but there are 2" in few[0].said


def test_points_that_only_prove_do_not_help_to_see_a_tilt() -> None:
    machine = load(FOUR)
    two = (*machine.point[:2], *(point for point in machine.point if point.only))
    (fault,) = check_proof.faults(msgspec.structs.replace(machine, point=two))
    assert 'at least three times without only = "proof", but there are 2' in fault.said


def test_a_plate_that_nothing_moves_may_have_any_points() -> None:
    machine = load("stored-offset-140")
    assert list(check_proof.faults(msgspec.structs.replace(machine, point=machine.point[:1]))) == []


def test_a_tolerance_finer_than_the_gauge_can_prove_is_told(refused: Refuse) -> None:
    said = refused(FOUR, "tolerance_mm = 0.05", "tolerance_mm = 0.013")
    assert (
        "first_layer.tolerance_mm is 0.013, but must be more than 0.013 mm: the finest reading by card"
        in said
    )


def test_leaves_alone_prove_less_than_a_card() -> None:
    machine = msgspec.structs.replace(load(FOUR), gauge=Gauge(leaves_mm=(0.05, 0.1, 0.15, 0.2)))
    layer = msgspec.structs.replace(machine.first_layer, tolerance_mm=0.015)
    faults = list(check_proof.faults(msgspec.structs.replace(machine, first_layer=layer)))
    assert ["by leaf" in fault.said for fault in faults] == [True]


def test_the_finest_readings_are_those_of_the_procedures_and_the_solver() -> None:
    hands = {"leaf": priors.HAND_MM["leaf"], "card": priors.HAND_MM["feel"], "probe": priors.HAND_MM["probe"]}
    assert {by: hand for by, (_, hand) in check_proof.FINEST_READING_MM.items()} == hands
    assert check_proof.FINEST_READING_MM["leaf"][0] == ENOUGH_MM
    assert check_proof.FINEST_READING_MM["card"][0] == FINEST_MM
    assert check_proof.COVERAGE == priors.COVERAGE


def test_what_is_refused_could_indeed_not_be_proven_by_one_perfect_round() -> None:
    machine = load("three-point-225")
    u_mm = check_proof.finest_u_mm(machine)["leaf"]
    width, _ = check_proof.FINEST_READING_MM["leaf"]
    gap = machine.wanted_gap_mm
    perfect = Round(
        {point.name: Reading(gap - width / 2, gap + width / 2, "leaf") for point in machine.point}
    )

    def verdict(tolerance_mm: float) -> str:
        layer = msgspec.structs.replace(machine.first_layer, tolerance_mm=tolerance_mm)
        return solve(msgspec.structs.replace(machine, first_layer=layer), [perfect]).verdict

    assert verdict(0.5 * u_mm * check_proof.COVERAGE) == "undecided"
    assert verdict(1.5 * u_mm * check_proof.COVERAGE) == "within"


@pytest.mark.parametrize("turned_deg", [0, 30, 90, 137])
def test_one_line_is_found_whatever_its_direction(turned_deg: float) -> None:
    c, s = math.cos(math.radians(turned_deg)), math.sin(math.radians(turned_deg))
    thin = [(0.0, 0.0), (100.0, 2.0), (200.0, -2.0), (300.0, 0.0)]
    wide = [(0.0, 0.0), (100.0, 40.0), (200.0, -40.0), (300.0, 0.0)]
    assert check_proof.in_one_line([(x * c - y * s, x * s + y * c) for x, y in thin])
    assert not check_proof.in_one_line([(x * c - y * s, x * s + y * c) for x, y in wide])
