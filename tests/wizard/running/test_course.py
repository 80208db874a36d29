"""Procedures over recorded answers."""

from __future__ import annotations

import pytest

from profiles.machine import Machine
from wizard import requests as ask
from wizard.facts import Facts
from wizard.journal.lines import Step
from wizard.running.course import Course, Procedure, ReplayError, replay, same_request
from wizard.solver.finding import Finding


def two_steps(_: Facts) -> Procedure:
    """Ask twice."""
    yield ask.Confirm("cautions")
    yield ask.Park("centre", 0.1 + 0.2)
    return ask.Outcome(None, 0, False)


STEPS = (Step(ask.Confirm("cautions"), ask.Confirmed()), Step(ask.Park("centre", 0.3), ask.Done()))


def test_a_replay_comes_to_where_the_answers_lead(four_corners: Machine) -> None:
    pending = [replay(two_steps, Facts(four_corners), STEPS[:count]).pending for count in range(3)]
    assert pending == [ask.Confirm("cautions"), ask.Park("centre", 0.1 + 0.2), None]
    course = replay(two_steps, Facts(four_corners), STEPS)
    assert course.outcome == ask.Outcome(None, 0, False)
    assert (course.facts.parked_at, course.facts.z_mm, course.facts.answers) == ("centre", 0.1 + 0.2, 2)


def test_an_ended_procedure_takes_no_answer(four_corners: Machine) -> None:
    course = replay(two_steps, Facts(four_corners), STEPS)
    with pytest.raises(ValueError, match="has ended"):
        course.take(ask.Done())


@pytest.mark.parametrize(
    "steps",
    [
        (Step(ask.Confirm("clean-tip"), ask.Confirmed()),),
        (STEPS[0], Step(ask.Park("centre", 0.4), ask.Done())),
        (STEPS[0], Step(ask.Lower("centre", 0.3), ask.Done())),
        (*STEPS, Step(ask.Lift(), ask.Done())),
    ],
)
def test_a_journal_that_does_not_fit_is_refused_with_the_step(
    four_corners: Machine, steps: tuple[Step, ...]
) -> None:
    with pytest.raises(ReplayError, match=f"step {len(steps)} of the journal"):
        replay(two_steps, Facts(four_corners), steps)


def test_requests_are_the_same_whatever_their_findings_last_digits() -> None:
    one = ask.Turn({"front left": 0.5}, 1, False, Finding("outside", "turn", best_possible_mm=0.1))
    other = ask.Turn({"front left": 0.5 + 1e-12}, 1, False, Finding("outside", "turn", best_possible_mm=0.11))
    assert same_request(one, other)
    assert not same_request(one, ask.Turn({"front left": 0.5625}, 1, False, one.finding))
    assert not same_request(one, ask.Turn({"front right": 0.5}, 1, False, one.finding))
    assert not same_request(one, ask.Turn({"front left": 0.5}, 2, False, one.finding))
    assert not same_request(ask.Choose("stuck", ("a", "b")), ask.Choose("stuck", ("a",)))


def test_a_course_begins_with_the_first_request(four_corners: Machine) -> None:
    assert Course(two_steps, Facts(four_corners)).pending == ask.Confirm("cautions")
