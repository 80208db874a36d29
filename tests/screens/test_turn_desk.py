"""Turns ticked off one by one."""

from __future__ import annotations

from wizard.widgets.turn_desk import TurnDesk

TOLD = {"front left": 0.25, "back left": -0.5, "back right": 1.0}


def test_ticking_goes_through_all_turns_and_is_then_done() -> None:
    desk = TurnDesk.begin(TOLD)
    for name in TOLD:
        assert not desk.done
        assert desk.current == name
        desk = desk.tick()
    assert desk.done
    assert desk.made == TOLD


def test_another_amount_is_kept_as_what_was_made() -> None:
    desk = TurnDesk.begin(TOLD).tick(0.125)
    assert desk.made == {"front left": 0.125}
    assert desk.told == TOLD


def test_a_digit_takes_the_tick_back_and_goes_there() -> None:
    desk = TurnDesk.begin(TOLD).tick().tick().at(1)
    assert desk.current == "front left"
    assert desk.made == {"back left": -0.5}


def test_after_a_tick_comes_the_next_one_that_is_open() -> None:
    desk = TurnDesk.begin(TOLD).tick().tick().at(1).tick()
    assert desk.current == "back right"


def test_numbers_that_are_not_in_the_list_change_nothing() -> None:
    desk = TurnDesk.begin(TOLD)
    assert desk.at(0) == desk.at(4) == desk


def test_going_beside_goes_round() -> None:
    desk = TurnDesk.begin(TOLD)
    assert desk.beside(-1).current == "back right"
    assert desk.beside(1).current == "back left"


def test_an_empty_desk_has_nothing_to_tick() -> None:
    desk = TurnDesk.begin({})
    assert desk.tick() == desk.beside(1) == desk
