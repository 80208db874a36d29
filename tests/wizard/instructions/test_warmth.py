"""What warmth does to a gap is said with its figures, and what was read too early is marked everywhere."""

from __future__ import annotations

import csv
import io

import msgspec
import pytest

from profiles.load import load
from wizard import requests as ask
from wizard.facts import Facts, after
from wizard.history.one import course, record_csv, record_object
from wizard.instructions import page, working
from wizard.instructions.warmth import bow_sentence, closing_sentence
from wizard.journal.lines import End, Header, Step
from wizard.records.run import Whole, whole_of
from wizard.report.content import report_of
from wizard.rounds import Reading
from wizard.solver import solve

FOUR, COLD = load("four-corner-220"), load("endstop-screw-120")
CUT, WHOLE = ask.Done("cut short by the person"), ask.Done()


def told(lines: tuple[str, ...]) -> str:
    return " ".join(" ".join(lines).split())


def test_what_closes_until_printing_is_said_before_the_first_reading_and_at_the_end() -> None:
    """17 mm of brass (20.5e-6 per K) from 20 to 200 degrees C: 0.0627 mm."""
    sentence = "A gap closes by 0.063 mm until it prints (nozzle 0.063, plate 0.000): wanted now 0.213 mm."
    assert closing_sentence(COLD) == sentence
    facts = Facts(COLD)
    assert "closes by 0.063 mm" in told(page(ask.Choose("gauge", ("leaf",)), facts).body)
    level = (ask.TakeReading(p.name, 0.2, 1, 1, 5, "verify") for p in COLD.point)
    for request in level:
        facts = after(facts, request, ask.ReadingTaken(Reading(0.20, 0.23, "leaf")))
    result = page(ask.ShowResult(solve(COLD, facts.rounds), 1, proven=True), facts)
    assert "closes by 0.063 mm" in told(result.body)


def test_a_machine_that_prints_as_it_is_measured_says_nothing_of_it() -> None:
    assert closing_sentence(FOUR) == ""


def test_the_soak_says_how_a_kelvin_bends_this_plate() -> None:
    """1 K through 3 mm of aluminium over 220 mm: 0.048 mm at mid-edge, twice that at the corners."""
    soaking = told(working(ask.Soak(5.0), Facts(FOUR)).body)
    assert "lifts the middle of an edge by 0.048 mm, its farthest places by 0.095 mm" in soaking
    assert "before its end is marked" in soaking


def test_a_round_plate_bends_at_its_rim_and_an_unknown_one_is_left_out() -> None:
    bed = msgspec.structs.replace(FOUR.bed, shape="round", size_mm=None, diameter_mm=220.0)
    assert "the rim by 0.048 mm" in bow_sentence(bed)
    assert bow_sentence(msgspec.structs.replace(bed, material="unknown")) == ""


@pytest.mark.parametrize(("rest", "mark"), [(CUT, True), (WHOLE, False)])
def test_a_reading_after_a_soak_cut_short_is_marked(rest: ask.Done, mark: bool) -> None:
    facts = after(after(Facts(FOUR), ask.Warm(60.0, 0.0), WHOLE), ask.Soak(5.0), rest)
    read = ask.TakeReading("centre", 0.2, 1, 1, 5, "first")
    assert ("before the soak's end" in told(page(read, facts).body)) is mark
    facts = after(facts, read, ask.ReadingTaken(Reading(0.20, 0.25, "leaf")))
    assert facts.rounds[0].readings["centre"].early is mark
    shown = page(ask.ShowResult(solve(FOUR, facts.rounds), 1, proven=False), facts)
    assert ("Soak cut short: one point read before its end" in told(shown.body)) is mark


def test_warming_anew_and_resting_whole_ends_the_marks() -> None:
    facts = after(after(Facts(FOUR), ask.Soak(5.0), CUT), ask.Warm(60.0, 0.0), WHOLE)
    assert not after(facts, ask.Soak(5.0), WHOLE).soak_cut


def test_the_marks_end_with_the_move_that_says_that_the_plate_has_rested() -> None:
    facts = after(after(Facts(FOUR), ask.Warm(60.0, 0.0), WHOLE), ask.Soak(5.0), CUT)
    rested = after(facts, ask.Park("centre", 0.2), ask.Done(ask.RESTED))
    assert (rested.soak_cut, rested.soaked) == (False, True)
    still = after(facts, ask.Park("centre", 0.2), WHOLE)
    assert (still.soak_cut, still.soaked) == (True, False)


def test_what_rests_on_an_early_reading_of_the_same_pass_stays_early() -> None:
    """A narrower reading that tells all by itself does not."""
    read = ask.TakeReading("centre", 0.2, 1, 1, 5, "first")
    facts = after(after(Facts(FOUR), ask.Warm(60.0, 0.0), WHOLE), ask.Soak(5.0), CUT)
    facts = after(facts, read, ask.ReadingTaken(Reading(0.20, 0.25, "leaf")))
    facts = after(facts, ask.Lower("centre", 0.2), ask.Done(ask.RESTED))
    partly = after(facts, read, ask.ReadingTaken(Reading(0.22, 0.30, "leaf")))
    assert partly.rounds[0].readings["centre"].early
    wholly = after(facts, read, ask.ReadingTaken(Reading(0.21, 0.23, "leaf")))
    assert not wholly.rounds[0].readings["centre"].early


def run(early: bool) -> Whole:
    """Return a run of one reading, with a soak that was cut short or not."""
    read = ask.TakeReading("centre", 0.2, 1, 1, 5, "first")
    steps = [
        Step(ask.Soak(5.0), CUT if early else WHOLE, "2026-01-01T10:00:00"),
        Step(read, ask.ReadingTaken(Reading(0.20, 0.25, "leaf")), "2026-01-01T10:01:00", early),
    ]
    return whole_of("x", [Header("level", FOUR), *steps, End(ask.Outcome(None, 1, False), "")])


@pytest.mark.parametrize("early", [True, False])
def test_record_and_report_carry_the_mark(early: bool) -> None:
    whole = run(early)
    assert ("before the soak's end" in told(tuple(course(whole)))) is early
    assert record_object(whole)["readings"][0]["early"] is early
    (row,) = csv.DictReader(io.StringIO(record_csv(whole)))
    assert row["early"] == str(early)
    assert ("Soak cut short" in told(report_of(whole).about)) is early


def test_the_report_says_what_closes() -> None:
    whole = whole_of("x", [Header("level", COLD), End(ask.Outcome(None, 0, False), "")])
    assert "closes by 0.063 mm" in told(report_of(whole).about)
