"""Live state in words: never "safe to measure" while anything moves."""

from __future__ import annotations

from itertools import product

import pytest

from drivers.interface import Status, Temperatures
from wizard.requests import Confirm, Connect, Home, Lift, Lower, Park, Soak, TakeReading, Warm
from wizard.running.flow import State
from wizard.widgets.status_line import Live, heat_words, link_words, motion_words, moves, place_words

READING = TakeReading("centre", 0.2, 1, 1, 5, "first")
REQUESTS = [
    None,
    READING,
    Confirm("cautions"),
    Park("centre", 0.2),
    Home(),
    Lift(),
    Lower("centre", 0.1),
    Warm(60, 0),
    Soak(5),
    Connect(),
]


@pytest.mark.parametrize(("request_", "state", "moving"), product(REQUESTS, State, [True, False]))
def test_it_says_safe_to_measure_only_while_a_reading_is_asked_and_nothing_moves(
    request_: object, state: State, moving: bool
) -> None:
    live = Live(state=state.value, request=request_, status=Status(moving=moving))
    safe = "safe" in motion_words(live)
    resting = state in (State.STOPPED, State.FAULTED, State.PAUSED)
    assert safe == (request_ is READING and not moving and not resting)


@pytest.mark.parametrize("request_", [Park("centre", 0.2), Home(), Lift(), Lower("centre", 0.1)])
def test_hands_are_to_be_clear_from_the_moment_a_move_begins(request_: object) -> None:
    """Also before the machine has told that it moves."""
    live = Live(state="moving", request=request_)
    assert moves(live)
    assert "hands clear" in motion_words(live)


def test_a_pause_in_a_move_says_moving_until_the_machine_stands_still() -> None:
    request = Park("centre", 0.2)
    assert "hands clear" in motion_words(Live(state="paused", request=request, status=Status(moving=True)))
    assert "nothing moves" in motion_words(Live(state="paused", request=request))


def test_hot_parts_are_called_hot_in_words() -> None:
    words = heat_words(Temperatures(bed_c=60.2, bed_target_c=60, nozzle_c=27, nozzle_target_c=0))
    assert words == "Bed 60 of 60 °C HOT   Nozzle 27 °C"


def test_what_is_not_known_is_told_as_not_known() -> None:
    assert "?" in heat_words(Temperatures())
    assert place_words(Live()) == "position not known"
    assert place_words(Live(by_hand=True)) == "moved by hand"


def test_the_quality_of_the_line_counts_what_was_sent_again() -> None:
    assert link_words(Live(status=Status(sent=9))) == "line good"
    assert link_words(Live(status=Status(sent=90, resends=3))) == "line: 3 of 90 sent again"
