"""The check print, driven by hand: a made-up plate lays pads as thick as its gaps."""

from __future__ import annotations

import msgspec
import pytest

from profiles.load import load
from wizard import requests as ask
from wizard.facts import Facts
from wizard.procedures.firstlayer import MOST_PRINTS, can_print
from wizard.procedures.level import level
from wizard.solver.finding import Finding, PointFinding

FOUR = load("four-corner-220")


class Person:
    """Answers a whole job on a made-up plate; `warm_mm` is how much the nozzle grows until it prints."""

    def __init__(self, plate, warm_mm=0.0, how="caliper", skips=()):
        self.plate, self.warm_mm, self.how, self.skips = plate, warm_mm, how, skips
        self.asked = []
        self.loose = None

    def answer(self, request):
        self.asked.append(request)
        match request:
            case ask.ShowResult():
                return ask.Chosen(ask.CHECK_PRINT) if request.can_print else ask.Confirmed()
            case ask.AskFilament():
                return ask.Filament(request.bed_c, request.nozzle_c)
            case ask.Choose(topic="pads"):
                return ask.Chosen(self.how)
            case ask.JudgePad():
                return self.judged(request)
            case ask.ShowPrint():
                return ask.Chosen(request.options[0])
            case _:
                return self.plate.answer(request, "leaf")

    def judged(self, request):
        if request.point in self.skips:
            return ask.Skipped("it came off in pieces")
        gap = self.plate.gap_mm(request.point) - self.warm_mm
        if self.how != "look":
            return ask.PadMeasured(round(gap, 2))
        return ask.PadSeen(
            5 if gap < 0.06 else 4 if gap < 0.12 else 3 if gap < 0.17 else 2 if gap < 0.24 else 1
        )

    def of(self, kind):
        return [request for request in self.asked if isinstance(request, kind)]


def run(plate, facts=None, **how):
    person = Person(plate, **how)
    return person, through(level(facts or Facts(plate.machine)), person)


def through(course, person):
    """Answer to the end; return the outcome."""
    request = next(course)
    try:
        while True:
            request = course.send(person.answer(request))
    except StopIteration as stop:
        return stop.value


@pytest.fixture
def plate(make_plate):
    return make_plate(FOUR, 3)


def test_the_offer_is_at_the_end_of_the_job_and_leads_through_it_in_order(plate):
    person, outcome = run(plate)
    kinds = [type(request).__name__ for request in person.asked]
    first = kinds.index("ShowResult")
    assert kinds[first + 1 : first + 10] == [
        "Confirm",
        "AskFilament",
        "Confirm",
        "Warm",
        "Soak",
        "Home",
        "PrintLayer",
        "CoolDown",
        "Confirm",
    ]
    after = [request for request in person.asked[first:] if isinstance(request, ask.Confirm)]
    assert [request.topic for request in after][:3] == ["print-cautions", "print-ready", "pads-cool"]
    assert outcome.proven
    assert person.of(ask.ShowResult)[-1].checks.pads == len(FOUR.point)


def test_heaters_go_off_after_every_print(plate):
    person, _ = run(plate, warm_mm=0.06)
    for nth, request in enumerate(person.asked):
        if isinstance(request, ask.PrintLayer):
            assert person.asked[nth + 1] == ask.CoolDown()


def test_a_warm_nozzle_that_hangs_lower_is_found_and_corrected_and_proven_by_another_print(plate):
    person, outcome = run(plate, warm_mm=0.06)
    shown = person.of(ask.ShowPrint)
    assert shown[0].options[0] == ask.CORRECT
    assert shown[0].finding.turns
    assert shown[-1].finding.verdict == "within"
    assert outcome.proven
    gaps = [plate.gap_mm(point.name) - 0.06 for point in FOUR.point]
    assert max(abs(gap - 0.15) for gap in gaps) < 0.05
    checks = person.of(ask.ShowResult)[-1].checks
    assert checks == ask.Checks(len(FOUR.point), True, True, "within", len(FOUR.point))


def test_pads_are_judged_by_look_too(plate):
    person, _ = run(plate, warm_mm=0.06, how="look")
    assert person.of(ask.JudgePad)[0].how == "look"
    assert person.of(ask.ShowPrint)[0].finding.verdict != "within"
    gaps = [plate.gap_mm(point.name) - 0.06 for point in FOUR.point]
    assert max(abs(gap - 0.15) for gap in gaps) < 0.08


def test_a_pad_that_is_left_out_keeps_the_print_from_proving_what_no_pass_has(plate):
    person, outcome = run(plate, warm_mm=0.06, skips=("centre",))
    assert person.of(ask.ShowResult)[-1].checks.pads == len(FOUR.point) - 1
    assert not outcome.proven


def test_no_pad_judged_tells_nothing_new(plate):
    person, outcome = run(plate, skips=tuple(point.name for point in FOUR.point))
    shown = person.of(ask.ShowPrint)[0]
    assert shown.pads == 0
    assert person.of(ask.ShowResult)[-1].checks.printed == ""
    assert outcome.proven


def test_prints_come_to_an_end(plate):
    person = Person(plate, warm_mm=0.06)
    person.how = "caliper"
    person.judged = lambda request: ask.PadMeasured(0.05)
    through(level(Facts(FOUR)), person)
    assert len(person.of(ask.PrintLayer)) <= MOST_PRINTS
    assert ask.CORRECT not in person.of(ask.ShowPrint)[-1].options


def finding(gap_mm, u_mm=0.01):
    points = {p.name: PointFinding(gap_mm, u_mm, gap_mm - 0.15, gap_mm) for p in FOUR.point}
    return Finding("within", "level", points=points)


@pytest.mark.parametrize(
    ("facts", "found", "can"),
    [
        (Facts(FOUR), finding(0.15), True),
        (Facts(FOUR, by_hand=True), finding(0.15), False),
        (Facts(msgspec.structs.replace(FOUR, print=None)), finding(0.15), False),
        (Facts(FOUR), finding(0.03), False),  # with its uncertainty the nozzle might touch
        (Facts(FOUR), finding(0.15, 0.08), False),
        (Facts(FOUR), Finding("undecided", "underdetermined"), False),
    ],
)
def test_a_print_is_offered_only_where_it_can_be_made_and_the_nozzle_is_surely_free(facts, found, can):
    assert can_print(facts, found) is can


def test_pads_that_keep_it_undecided_are_measured_once_more_before_another_print(plate):
    person, _ = run(plate, warm_mm=0.025)
    again = [request for request in person.of(ask.JudgePad) if request.again]
    assert again
    assert {request.again for request in again} <= {1, 2}
    nth = person.asked.index(again[0])
    assert isinstance(person.asked[nth - 1], ask.JudgePad)
