"""Drift over runs: what is followed, how sure a rate is, and when a recheck is due."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from wizard.drift import HEIGHT, Due, Visit, courses, due, fitted_rate, spans
from wizard.drift_chart import individuals
from wizard.history.drifting import chart, due_sentence

LEVEL = {"front": 0.15, "back": 0.15}


def rechecked(day: float, front: float, back: float, nozzle: str = "") -> Visit:
    """A recheck that found these gaps and left all as levelled."""
    return Visit(day, {"front": front, "back": back}, LEVEL, nozzle)


def test_fewer_than_three_runs_tell_nothing() -> None:
    for visits in ([], [Visit(0.0, None, LEVEL)], [Visit(0.0, None, LEVEL), rechecked(5.0, 0.2, 0.15)]):
        assert courses(visits) == []
        assert due(visits, 0.05, 0.15) == Due("too few")
        assert "cannot be told yet" in due_sentence(due(visits, 0.05, 0.15))


def test_a_point_that_sinks_steadily_is_due_when_it_passes_the_tolerance() -> None:
    """Two points drift apart by 0.002 mm a day: each by 0.001 against their mean, within 0.05 for 50 days."""
    visits = [Visit(0.0, None, LEVEL), *(rechecked(10.0 * n, 0.16, 0.14) for n in range(1, 6))]
    told = due(visits, 0.05, 0.15)
    assert (told.kind, told.place) == ("drifts", "front")
    assert told.days == pytest.approx(50.0)
    assert told.rate == pytest.approx(0.001)
    assert due_sentence(told, 10.0).startswith(
        "Likely out of tolerance in about 40 days: front drifts by +0.030"
    )
    assert due_sentence(told, 60.0).startswith("Recheck now")


def test_a_nozzle_swap_is_no_drift_of_the_height() -> None:
    visits = [
        Visit(0.0, None, LEVEL, "brass"),
        rechecked(10.0, 0.15, 0.15, "brass"),
        rechecked(20.0, 0.40, 0.40, "steel"),
        rechecked(30.0, 0.15, 0.15, "steel"),
    ]
    assert [HEIGHT in span.moved for span in spans(visits)] == [True, False, True]
    assert due(visits, 0.05, 0.15).kind == "steady"


def test_a_levelling_finds_nothing_and_the_course_goes_on_after_it() -> None:
    visits = [
        Visit(0.0, None, LEVEL),
        rechecked(10.0, 0.16, 0.14),
        Visit(11.0, None, LEVEL),
        rechecked(21.0, 0.16, 0.14),
    ]
    (front,) = (course for course in courses(visits) if course.place == "front")
    assert front.days == (0.0, 10.0, 20.0)
    assert front.moved == pytest.approx((0.0, 0.01, 0.02))


def test_what_was_broken_off_leaves_nothing_to_compare_with() -> None:
    visits = [Visit(0.0, None, LEVEL), Visit(5.0, None, None), rechecked(9.0, 0.3, 0.3)]
    assert spans(visits) == []


@given(
    st.lists(st.floats(-0.2, 0.2), min_size=3, max_size=8),
    st.lists(st.floats(0.5, 40.0), min_size=8, max_size=8),
)
@settings(max_examples=40, deadline=None)
def test_rate_and_uncertainty_are_those_of_an_independent_fit(moved: list[float], gaps: list[float]) -> None:
    """scipy.stats.linregress is the reference."""
    from scipy.stats import linregress, t

    assume(len(set(moved)) > 1)  # of a level course the reference's error is not a number
    days = np.cumsum(gaps)[: len(moved)]
    rate, u, coverage = fitted_rate(list(days), moved)
    fit = linregress(days, moved)
    assert rate == pytest.approx(fit.slope, abs=1e-12)
    assert u == pytest.approx(fit.stderr, abs=1e-9)
    assert coverage == pytest.approx(t.ppf(0.975, len(moved) - 2), abs=6e-3)


def test_an_unsteady_course_is_told_as_steady_in_most_cases() -> None:
    """With no drift at all a rate is called sure in about one case in twenty (95 %)."""
    rng = np.random.default_rng(4)
    sure = 0
    for _ in range(400):
        rate, u, coverage = fitted_rate(list(range(6)), list(rng.normal(0.0, 0.01, 6)))
        sure += abs(rate) > coverage * u
    assert 5 <= sure <= 40


def test_a_course_of_rechecks_without_drift_is_seldom_called_sure() -> None:
    """Each recheck has its own error against the run before, so that the course is a random walk."""
    rng = np.random.default_rng(6)
    sure = total = 0
    for _ in range(200):
        errors = rng.normal(0.0, 0.01, (8, 2))
        visits = [Visit(0.0, None, LEVEL)]
        visits += [rechecked(7.0 * n, 0.15 + a, 0.15 + b) for n, (a, b) in enumerate(errors, 1)]
        told = courses(visits)
        sure += sum(course.is_sure for course in told)
        total += len(told)
    assert sure <= 0.08 * total


def test_two_values_are_needed_for_a_moving_range() -> None:
    with pytest.raises(ValueError, match="two values"):
        individuals([1.0])


def test_a_jump_is_marked_in_the_chart_of_characters() -> None:
    moves = [0.0, 0.01, 0.0, 0.01, 0.0, 0.01, 0.0, 0.01, 0.0, 0.5]
    visits = [Visit(0.0, None, LEVEL)]
    for n, (before, after) in enumerate(pairwise(moves), 1):
        visits.append(rechecked(float(n), 0.15 + after - before, 0.15 + after - before))
    (height,) = (course for course in courses(visits) if course.place == HEIGHT)
    lines = chart(height)
    assert lines[-1].endswith("!")
    assert not any(line.endswith("!") for line in lines[1:-1])
    assert math.isclose(height.moved[-1], 0.5)
