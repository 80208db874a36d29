"""The fold of requests and answers into facts."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.load import load
from profiles.machine import Machine
from wizard import requests as ask
from wizard.facts import Facts, after
from wizard.rounds import Reading, Round, joined
from wizard.solver.finding import Finding, Suspicion

FINDING = Finding("outside", "turn", {"front left": 0.5})


def fold(facts: Facts, *steps: tuple[ask.AnyRequest, ask.AnyAnswer]) -> Facts:
    for request, answer in steps:
        facts = after(facts, request, answer)
    return facts


@pytest.fixture
def facts(four_corners: Machine) -> Facts:
    return Facts(four_corners)


def take(point: str, z_mm: float, number: int = 1) -> ask.TakeReading:
    return ask.TakeReading(point, z_mm, number, 1, 5, "first")


def read(low: float | None, high: float | None) -> ask.ReadingTaken:
    return ask.ReadingTaken(Reading(low, high, "leaf"))


def test_a_reading_is_kept_as_the_gap_at_the_measuring_height(facts: Facts) -> None:
    facts = fold(facts, (take("centre", 0.25), read(0.20, 0.25)))
    assert facts.rounds == (Round({"centre": Reading(0.15, 0.20, "leaf")}),)
    assert facts.readings == {"centre": Reading(0.15, 0.20, "leaf")}


def test_two_readings_of_one_visit_say_together_what_they_know(facts: Facts) -> None:
    facts = fold(facts, (take("centre", 0.20), read(0.15, 0.20)), (take("centre", 0.225), read(0.15, 0.20)))
    assert facts.readings["centre"] == Reading(0.15, 0.175, "leaf")


def test_a_reading_that_contradicts_the_one_before_takes_its_place(facts: Facts) -> None:
    facts = fold(facts, (take("centre", 0.20), read(0.15, 0.20)), (take("centre", 0.20), read(0.30, 0.35)))
    assert facts.readings["centre"] == Reading(0.30, 0.35, "leaf")


def test_a_thick_card_tells_a_side_with_its_own_tolerance_taken_off(facts: Facts) -> None:
    look = ask.LookForDaylight("centre", 0.8, 0.76)
    assert fold(facts, (look, ask.Seen(True))).readings["centre"] == Reading(0.08, None, "leaf")
    assert fold(facts, (look, ask.Seen(False))).readings["centre"] == Reading(None, 0.24, "leaf")


def test_two_cards_may_be_off_by_the_tolerance_of_both(facts: Facts) -> None:
    look = ask.LookForDaylight("centre", 1.8, 1.52)
    assert fold(facts, (look, ask.Seen(True))).readings["centre"] == Reading(-0.24, None, "leaf")
    assert fold(facts, (look, ask.Seen(False))).readings["centre"] == Reading(None, 0.08, "leaf")


def test_feels_narrow_what_a_leaf_has_told(facts: Facts) -> None:
    feel = ask.Feel("centre", 0.125, 0.10, 1, 1, 5, "first")
    facts = fold(facts, (take("centre", 0.20), read(0.15, 0.20)), (feel, ask.Felt("free")))
    assert facts.readings["centre"] == Reading(0.185, 0.20, "feel")


def test_a_turn_ends_what_is_known_of_the_plate_and_is_kept_in_its_round(facts: Facts) -> None:
    turn = ask.Turn({"front left": 0.5}, 1, False, FINDING)
    facts = fold(facts, (take("centre", 0.2), read(0.1, 0.15)), (turn, ask.Turned({"front left": 0.4375})))
    assert facts.rounds[0].turned == {"front left": 0.4375}
    assert facts.readings == {}
    assert facts.finding == FINDING


@pytest.mark.parametrize(
    ("request_", "answer", "raised_mm"),
    [
        (ask.SetHeight(-0.12), ask.Done(), -0.12),
        (ask.ChangeHeightByMenu(-0.12, FINDING), ask.HeightChanged(-0.10), -0.10),
        (ask.TurnEndstop(0.5, 0.25, FINDING), ask.Turned({"endstop screw": 0.25}), 0.125),
        (ask.TurnEndstop(0.5, 0.25, FINDING), ask.Skipped("stuck"), 0.0),
        (ask.ChangeHeightByMenu(-0.12, FINDING), ask.Skipped("no menu"), 0.0),
    ],
)
def test_each_way_of_changing_the_height_is_kept_as_what_was_really_done(
    facts: Facts, request_: ask.AnyRequest, answer: ask.AnyAnswer, raised_mm: float
) -> None:
    facts = fold(facts, (take("centre", 0.2), read(0.1, 0.15)), (request_, answer))
    assert facts.rounds[0].height_change_mm == pytest.approx(raised_mm)


@pytest.mark.parametrize(
    ("kind", "really"), [("turned-other-way", -0.5), ("not-turned", 0.0), ("other-adjuster", 0.5)]
)
def test_only_a_confirmed_story_about_a_turn_corrects_it(facts: Facts, kind: str, really: float) -> None:
    story = Finding("undecided", "inconsistent", suspicion=Suspicion(kind, 0.9, adjuster="front left"))
    turn = ask.Turn({"front left": 0.5}, 1, False, FINDING)
    question = ask.Choose("suspicion", (ask.AS_SUSPECTED, ask.GO_ON), story)
    facts = fold(
        facts,
        (take("centre", 0.2), read(0.1, 0.15)),
        (turn, ask.Turned({"front left": 0.5})),
        (take("centre", 0.2, 2), read(0.3, 0.35)),
    )
    assert after(facts, question, ask.Chosen(ask.AS_SUSPECTED)).rounds[0].turned["front left"] == really
    assert after(facts, question, ask.Chosen(ask.GO_ON)).rounds == facts.rounds


def test_a_confirmed_story_about_all_turns_corrects_them_all(facts: Facts) -> None:
    story = Finding("undecided", "inconsistent", suspicion=Suspicion("turned-other-way", 9.0))
    told = {"front left": 0.5, "back left": -0.25, "back right": 0.0}
    facts = fold(
        facts,
        (take("centre", 0.2), read(0.1, 0.15)),
        (ask.Turn(told, 1, False, FINDING), ask.Turned(told)),
        (take("centre", 0.2, 2), read(0.3, 0.35)),
        (ask.Choose("suspicion", (ask.AS_SUSPECTED, ask.GO_ON), story), ask.Chosen(ask.AS_SUSPECTED)),
    )
    assert facts.rounds[0].turned == {"front left": -0.5, "back left": 0.25, "back right": 0.0}


def test_the_state_of_the_machine_follows_what_it_was_asked(facts: Facts) -> None:
    facts = fold(
        facts,
        (ask.Connect(), ask.Connected("pty", simulated=True)),
        (ask.Warm(60.0, 0.0), ask.Done()),
        (ask.Soak(5.0), ask.Done("cut short")),
        (ask.Home(), ask.Done()),
        (ask.Choose("gauge", ("leaf", "feel")), ask.Chosen("feel")),
        (ask.Park("centre", 0.8), ask.Done()),
        (ask.Lower("centre", 0.3), ask.Done()),
    )
    assert (facts.connected, facts.simulated, facts.homed, facts.soaked, facts.soak_cut) == (
        True,
        True,
        True,
        False,
        True,
    )
    assert (facts.bed_c, facts.gauge, facts.parked_at, facts.z_mm) == (60.0, "feel", "centre", 0.3)
    facts = fold(facts, (ask.Lift(), ask.Done()), (ask.CoolDown(), ask.Done()))
    assert (facts.parked_at, facts.z_mm, facts.bed_c, facts.soaked) == (None, None, 0.0, False)


sides = st.floats(0.0, 1.0).map(lambda mm: round(mm, 3))


@st.composite
def true_brackets(draw: st.DrawFn, gap_mm: float = 0.4) -> Reading:
    """Return a bracket, perhaps open, that holds the gap."""
    low = draw(st.none() | st.floats(0.0, gap_mm - 0.01))
    high = draw(st.none() | st.floats(gap_mm + 0.01, 1.0))
    return Reading(low, high, "leaf")


@given(true_brackets(), true_brackets())
def test_true_readings_together_still_hold_the_gap_and_are_no_wider(one: Reading, other: Reading) -> None:
    both = joined(one, other)
    for reading in (one, other):
        if reading.low_mm is not None:
            assert both.low_mm is not None
            assert reading.low_mm <= both.low_mm <= 0.4
        if reading.high_mm is not None:
            assert both.high_mm is not None
            assert 0.4 <= both.high_mm <= reading.high_mm


@given(st.lists(st.tuples(sides, sides, st.floats(0.2, 1.0)), max_size=8))
def test_every_round_number_is_one_more_than_the_turns_before_it(
    readings: list[tuple[float, float, float]],
) -> None:
    facts = Facts(load("four-corner-220"))
    for number, (one, other, z_mm) in enumerate(readings, 1):
        facts = fold(
            facts,
            (take("centre", z_mm, number), read(min(one, other), max(one, other))),
            (ask.Turn({"front left": 0.5}, number, False, FINDING), ask.Turned({"front left": 0.5})),
        )
    assert len(facts.rounds) == len(readings)
    assert all(done.turned == {"front left": 0.5} and "centre" in done.readings for done in facts.rounds)
