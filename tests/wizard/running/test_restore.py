"""What is needed before an interrupted job goes on live."""

from __future__ import annotations

import msgspec
import pytest

from profiles.grid import GridValue
from profiles.load import load
from profiles.machine import Machine
from wizard import requests as ask
from wizard.facts import Facts
from wizard.running.restore import needed

TAKE = ask.TakeReading("centre", 0.2, 1, 1, 5, "first")
TURN_FOLLOWS = ask.Confirm("verify-next")


@pytest.fixture
def nothing(four_corners: Machine) -> Facts:
    return Facts(four_corners)


@pytest.fixture
def parked(nothing: Facts) -> Facts:
    return msgspec.structs.replace(
        nothing, connected=True, homed=True, bed_c=60.0, soaked=True, parked_at="centre", z_mm=0.2
    )


def test_after_a_break_hands_are_cleared_before_line_heat_homing_and_parking(
    nothing: Facts, parked: Facts
) -> None:
    assert needed(nothing, parked, TAKE) == (
        ask.Confirm("restore-next"),
        ask.Connect(),
        ask.Warm(60.0, 0.0),
        ask.Soak(5.0),
        ask.Home(),
        ask.Park("centre", 0.2),
    )


def test_after_a_break_a_grid_is_followed_again_before_the_nozzle_comes_down(
    nothing: Facts, parked: Facts
) -> None:
    """A restart may have switched it off; a machine with a menu alone is left to the person."""
    machine = load("stored-offset-140")
    grid = (GridValue(0, 0, (20.0, 20.0), 0.03),)
    followed = msgspec.structs.replace(parked, machine=machine, switched_on=True, grid=grid)
    fresh = Facts(machine)
    again = needed(fresh, followed, TAKE)
    assert again[-3:] == (ask.Home(), ask.FollowAgain(grid), ask.Park("centre", 0.2))
    assert machine.compensation is not None
    menu = msgspec.structs.replace(machine.compensation, activate_command=None)
    by_menu = msgspec.structs.replace(followed, machine=msgspec.structs.replace(machine, compensation=menu))
    assert ask.FollowAgain(grid) not in needed(fresh, by_menu, TAKE)


def test_where_nothing_was_cut_off_nothing_is_needed(parked: Facts) -> None:
    for pending in (TAKE, ask.Lift(), ask.Lower("centre", 0.1), ask.Choose("stuck", ("stop here",))):
        assert needed(parked, parked, pending) == ()


def test_before_the_line_was_first_opened_nothing_is_needed(nothing: Facts) -> None:
    assert needed(nothing, nothing, ask.Connect()) == ()


def test_a_line_alone_is_opened_without_ado_but_no_motion_follows_it_unconfirmed(nothing: Facts) -> None:
    connected = msgspec.structs.replace(nothing, connected=True)
    assert needed(nothing, connected, ask.Confirm("hands-clear")) == (ask.Connect(),)
    assert needed(nothing, connected, ask.Home()) == (ask.Confirm("restore-next"), ask.Connect())


def test_a_cold_plate_that_had_not_rested_is_only_warmed(nothing: Facts, parked: Facts) -> None:
    warm = msgspec.structs.replace(parked, soaked=False, homed=False, parked_at=None, z_mm=None)
    assert needed(nothing, warm, ask.Soak(5.0))[1:] == (ask.Connect(), ask.Warm(60.0, 0.0))


def test_at_another_height_or_place_the_nozzle_is_parked_anew_once_hands_are_clear(parked: Facts) -> None:
    for other in ({"z_mm": 0.8}, {"parked_at": "front left"}, {"parked_at": None, "z_mm": None}):
        stands = msgspec.structs.replace(parked, **other)
        assert needed(stands, parked, TAKE) == (ask.Confirm("hands-clear"), ask.Park("centre", 0.2))


def test_a_nozzle_left_low_is_lifted_before_the_person_works_at_the_plate(parked: Facts) -> None:
    lifted = msgspec.structs.replace(parked, parked_at=None, z_mm=None)
    assert needed(parked, lifted, TURN_FOLLOWS) == (ask.Confirm("hands-clear"), ask.Lift())


@pytest.mark.parametrize("pending", [ask.Lift(), ask.CoolDown()])
def test_the_end_of_a_job_is_not_heated_up_for(
    nothing: Facts, parked: Facts, pending: ask.AnyRequest
) -> None:
    assert not any(isinstance(r, ask.Warm | ask.Soak | ask.Park) for r in needed(nothing, parked, pending))


def test_for_showing_the_result_the_machine_is_left_alone(nothing: Facts, parked: Facts) -> None:
    assert needed(nothing, parked, ask.ShowResult(None, 2, True)) == ()  # type: ignore[arg-type]
