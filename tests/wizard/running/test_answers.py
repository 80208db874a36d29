"""Which answers a request takes, and what a refusal says."""

from __future__ import annotations

import re

import msgspec
import pytest

from profiles.machine import Adjuster, Machine
from wizard import requests as ask
from wizard.rounds import Reading
from wizard.running.answers import TAKES, check
from wizard.solver.finding import Finding

FINDING = Finding("outside", "turn", {"front left": 0.5})
TURN = ask.Turn({"front left": 0.5}, 1, False, FINDING)
REQUESTS: list[ask.AnyRequest] = [
    ask.Confirm("cautions"),
    ask.Choose("gauge", ("leaf", "feel")),
    ask.LookForDaylight("centre", 0.8, 0.76),
    ask.TakeReading("centre", 0.2, 1, 1, 5, "first"),
    ask.Feel("centre", 0.2, 0.1, 1, 1, 5, "first"),
    TURN,
    ask.TurnEndstop(0.5, 0.25, FINDING),
    ask.ChangeHeightByMenu(0.1, FINDING),
    ask.MoveByHand("lift"),
    ask.ShowResult(FINDING, 2, True, can_print=True),
    ask.AskFilament(60.0, 205.0),
    ask.JudgePad("centre", "caliper", 3, 1, 5),
    ask.ShowPrint(FINDING, 5, (ask.CORRECT, ask.CLOSE)),
    ask.Soak(5.0),
]
OPTIONS = {ask.ShowResult: ask.CHECK_PRINT, ask.ShowPrint: ask.CORRECT}
ANSWERS: list[ask.AnyAnswer] = [
    ask.Confirmed(),
    ask.Chosen("leaf"),
    ask.Seen(True),
    ask.ReadingTaken(Reading(0.1, 0.15, "leaf")),
    ask.Felt("drag"),
    ask.Turned({"front left": 0.5}),
    ask.HeightChanged(0.1),
    ask.Filament(60.0, 230.0),
    ask.PadMeasured(0.16),
    ask.PadSeen(3),
    ask.Skipped("a clip is in the way"),
    ask.Done(),
    ask.Connected("pty"),
]


@pytest.mark.parametrize("request_", REQUESTS, ids=lambda r: type(r).__name__)
@pytest.mark.parametrize("answer", ANSWERS, ids=lambda a: type(a).__name__)
def test_each_request_takes_its_own_answers_and_names_them_to_all_others(
    four_corners: Machine, request_: ask.AnyRequest, answer: ask.AnyAnswer
) -> None:
    takes = TAKES[type(request_)]
    if isinstance(request_, ask.TurnEndstop) and isinstance(answer, ask.Turned):
        answer = ask.Turned({"endstop screw": 0.5})
    if isinstance(answer, ask.Chosen):
        answer = ask.Chosen(OPTIONS.get(type(request_), answer.option))
    if isinstance(answer, takes):
        check(request_, answer, four_corners)
        return
    with pytest.raises(ValueError, match="takes") as refused:
        check(request_, answer, four_corners)
    assert all(kind.__name__ in str(refused.value) for kind in takes)


def test_every_request_to_a_person_has_its_answers() -> None:
    to_people = set(ask.ByPerson.__subclasses__())
    assert to_people <= set(TAKES)


@pytest.mark.parametrize(
    ("request_", "answer", "says"),
    [
        (REQUESTS[1], ask.Chosen("guess"), "leaf, feel"),
        (REQUESTS[3], ask.ReadingTaken(Reading()), "needs a thickness"),
        (REQUESTS[3], ask.ReadingTaken(Reading(0.2, 0.1)), "cannot be thicker"),
        (REQUESTS[3], ask.ReadingTaken(Reading(float("nan"), 0.1)), "finite"),
        (REQUESTS[3], ask.ReadingTaken(Reading(-0.01, 0.1)), "zero or more"),
        (REQUESTS[3], ask.Skipped(" "), "reason is empty"),
        (TURN, ask.Turned({"front": 0.5}), "front left, front right, back right, back left"),
        (TURN, ask.Turned({"front left": float("inf")}), "from -100 to 100"),
        (TURN, ask.Turned({"front left": 101.0}), "from -100 to 100"),
        (REQUESTS[6], ask.Turned({"front left": 0.5}), "endstop screw"),
        (REQUESTS[7], ask.HeightChanged(float("nan")), "from -240 to 240"),
        (REQUESTS[7], ask.HeightChanged(500.0), "from -240 to 240"),
    ],
)
def test_a_refusal_says_what_is_allowed(
    four_corners: Machine, request_: ask.AnyRequest, answer: ask.AnyAnswer, says: str
) -> None:
    with pytest.raises(ValueError, match=re.escape(says)):
        check(request_, answer, four_corners)


@pytest.mark.parametrize(
    "reading", [Reading(0.0, 0.05), Reading(1.0, None), Reading(None, 0.05), Reading(1, 1)]
)
def test_open_and_exact_readings_are_taken(four_corners: Machine, reading: Reading) -> None:
    check(REQUESTS[3], ask.ReadingTaken(reading), four_corners)


def test_a_fixed_support_cannot_have_been_turned(four_corners: Machine) -> None:
    fixed = Adjuster(name="hinge", at_mm=(110.0, 210.0), kind="fixed", mm_per_turn=0.0)
    machine = msgspec.structs.replace(four_corners, adjuster=(*four_corners.adjuster, fixed))
    with pytest.raises(ValueError, match="'hinge' cannot be turned"):
        check(TURN, ask.Turned({"hinge": 1.0}), machine)


@pytest.mark.parametrize(
    ("request_", "answer", "why"),
    [
        (
            ask.AskFilament(60.0, 205.0),
            ask.Filament(60.0, 261.0),
            "for the nozzle: this machine allows 150 to 260",
        ),
        (ask.AskFilament(60.0, 205.0), ask.Filament(60.0, 100.0), "for the nozzle"),
        (ask.AskFilament(60.0, 205.0), ask.Filament(60.0, float("nan")), "for the nozzle"),
        (
            ask.AskFilament(60.0, 205.0),
            ask.Filament(111.0, 205.0),
            "for the plate: this machine allows 0 to 110",
        ),
        (ask.JudgePad("centre", "caliper", 3, 1, 5), ask.PadMeasured(0.0), "a pad of 0 mm"),
        (ask.JudgePad("centre", "caliper", 3, 1, 5), ask.PadMeasured(float("nan")), "a pad of nan mm"),
        (ask.ShowResult(FINDING, 2, True), ask.Chosen(ask.CHECK_PRINT), "not one of the options"),
        (ask.ShowPrint(FINDING, 5, (ask.CLOSE,)), ask.Chosen(ask.CORRECT), "not one of the options"),
    ],
)
def test_a_print_goes_no_further_than_profile_and_options_allow(
    four_corners: Machine, request_: ask.AnyRequest, answer: ask.AnyAnswer, why: str
) -> None:
    with pytest.raises(ValueError, match=why):
        check(request_, answer, four_corners)
