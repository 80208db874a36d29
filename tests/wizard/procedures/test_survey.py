"""A survey measures every point and changes nothing."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from profiles.load import load
from wizard import requests as ask
from wizard.facts import Facts
from wizard.instructions import page
from wizard.instructions.surveying import survey_sentences
from wizard.procedures.survey import survey
from wizard.rounds import Reading, Round
from wizard.solver import solve

FOUR = load("four-corner-220")
LEAVES = FOUR.gauge.leaves_mm
CHANGES = (ask.Turn, ask.TurnEndstop, ask.SetHeight, ask.Store, ask.ChangeHeightByMenu, ask.MoveMotors)


def run(gap_of: Callable[[str], float], skip: str = "") -> tuple[list[ask.AnyRequest], ask.Outcome, Facts]:
    """Answer a survey by leaf of a plate whose gaps at the measuring height are told."""
    steps, asked = survey(Facts(FOUR)), []
    request, facts = next(steps), Facts(FOUR)
    while True:
        asked.append(request)
        answer = reply(request, gap_of, skip)
        try:
            request = steps.send(answer)
        except StopIteration as end:
            return asked, end.value, facts


def reply(request: ask.AnyRequest, gap_of: Callable[[str], float], skip: str) -> ask.AnyAnswer:
    match request:
        case ask.Choose():
            return ask.Chosen("leaf")
        case ask.LookForDaylight(point=point) | ask.TakeReading(point=point) if point == skip:
            return ask.Skipped("a clip is in the way")
        case ask.LookForDaylight():
            return ask.Seen(gap_of(request.point) + request.z_mm - 0.2 > request.thick_mm)
        case ask.TakeReading():
            gap_mm = gap_of(request.point) + request.z_mm - FOUR.measuring_height_mm
            slides = [leaf for leaf in LEAVES if leaf <= gap_mm]
            held = [leaf for leaf in LEAVES if leaf > gap_mm]
            return ask.ReadingTaken(Reading(max(slides, default=None), min(held, default=None), "leaf"))
        case ask.ByPerson():
            return ask.Confirmed()
    return ask.Done()


@pytest.mark.parametrize(("off_mm", "verdict", "proven"), [(0.01, "within", True), (0.30, "outside", False)])
def test_every_point_is_read_and_nothing_is_turned(off_mm: float, verdict: str, proven: bool) -> None:
    asked, outcome, _ = run(lambda _: 0.15 + off_mm)
    assert {r.point for r in asked if isinstance(r, ask.TakeReading)} == {p.name for p in FOUR.point}
    assert not [r for r in asked if isinstance(r, CHANGES)]
    assert outcome.finding is not None
    assert (outcome.finding.verdict, outcome.proven) == (verdict, proven)
    assert [type(r) for r in asked[-3:]] == [ask.Lift, ask.CoolDown, ask.ShowResult]


def test_adjusters_are_left_as_they_stand() -> None:
    asked, _, _ = run(lambda _: 0.15)
    assert ask.Confirm("snug-adjusters") not in asked


def test_with_a_point_left_out_nothing_is_proven() -> None:
    asked, outcome, _ = run(lambda _: 0.15, skip="centre")
    assert not outcome.proven
    shown = asked[-1]
    assert isinstance(shown, ask.ShowResult)
    assert shown.measured_only


def test_what_is_undecided_is_read_once_more() -> None:
    """0.20 mm is just at the limit: the bracket 0.20 to 0.25 decides nothing."""
    asked, _, _ = run(lambda _: 0.205)
    reads = [r.point for r in asked if isinstance(r, ask.TakeReading)]
    assert len(reads) > 2 * len(FOUR.point)


def test_a_compensation_is_left_as_it_stands_and_that_is_said() -> None:
    machine = load("touch-probe-255")
    finding = solve(machine, (Round({p.name: Reading(0.2, 0.22) for p in machine.point}),))
    assert "Read with the machine's software compensation as it stood." in survey_sentences(finding, machine)
    assert not any("compensation" in line for line in survey_sentences(finding, FOUR))


def test_the_page_tells_form_and_what_levelling_would_do() -> None:
    """The left is 0.16 mm lower over 160 mm: it rises 1 mm per m, half a bracket at either end apart."""
    asked, outcome, facts = run(lambda point: 0.31 if "left" in point else 0.15 if "right" in point else 0.23)
    shown = page(asked[-1], facts)
    told = " ".join(" ".join(shown.body).split())
    assert shown.title == "Surveyed: outside tolerance."
    assert "mm/m to the right" in told
    assert "Nothing was turned; levelling would turn" in told
    assert outcome.finding is not None
    assert outcome.finding.shape is not None
    assert outcome.finding.shape.tilt_x_mm_per_m == pytest.approx(1.0, abs=0.3)
