"""Changing the nozzle height by the profile's way."""

from __future__ import annotations

import msgspec
import pytest

from profiles.machine import Height, Machine, Thread
from wizard import requests as ask
from wizard.facts import Facts
from wizard.procedures.height import change_height
from wizard.procedures.job import Job
from wizard.solver.finding import Finding

OFFSET = Height(by="stored offset", set_command="M1 {change_mm}", store_command="M2")
SCREW = Thread(thread="M3", clockwise="lowers", step_turns=0.0625)


def requests(
    machine: Machine, height: Height, change_mm: float | None, *, by_hand: bool = False
) -> list[object]:
    facts = Facts(msgspec.structs.replace(machine, height=height), by_hand=by_hand)
    course = change_height(Job(facts), Finding("outside", "turn", height_change_mm=change_mm))
    asked: list[object] = []
    try:
        request = next(course)
        while True:
            asked.append(request)
            request = course.send(ask.Done())
    except StopIteration:
        return asked


def test_a_stored_offset_is_set_and_stored(four_corners: Machine) -> None:
    assert requests(four_corners, OFFSET, -0.1234) == [ask.SetHeight(-0.123), ask.Store()]


def test_a_machine_without_a_command_to_store_is_only_set(four_corners: Machine) -> None:
    only_set = msgspec.structs.replace(OFFSET, store_command=None)
    assert requests(four_corners, only_set, 0.1) == [ask.SetHeight(0.1)]


def test_without_a_line_a_stored_offset_is_changed_by_the_person(four_corners: Machine) -> None:
    finding = Finding("outside", "turn", height_change_mm=0.1)
    assert requests(four_corners, OFFSET, 0.1, by_hand=True) == [ask.ChangeHeightByMenu(0.1, finding)]


def test_an_endstop_screw_is_turned_by_whole_steps_in_its_own_direction(four_corners: Machine) -> None:
    asked = requests(four_corners, Height(by="endstop screw", screw=SCREW), 0.1)
    assert len(asked) == 1
    turn = asked[0]
    assert isinstance(turn, ask.TurnEndstop)
    assert turn.turns == -0.1875  # 0.1 mm by 0.5 mm a turn is 0.2 turns; steps of 1/16; clockwise lowers
    assert turn.change_mm == pytest.approx(0.09375)


def test_less_than_half_a_step_of_the_screw_is_left(four_corners: Machine) -> None:
    assert requests(four_corners, Height(by="endstop screw", screw=SCREW), 0.012) == []


@pytest.mark.parametrize("change_mm", [None, 0.0, 0.004, -0.004])
def test_nothing_is_asked_for_where_nothing_is_to_be_changed(
    four_corners: Machine, change_mm: float | None
) -> None:
    assert requests(four_corners, Height(by="operator"), change_mm) == []


def test_with_the_beds_own_adjusters_there_is_no_height_apart(four_corners: Machine) -> None:
    assert requests(four_corners, Height(by="bed adjusters"), 0.3) == []
