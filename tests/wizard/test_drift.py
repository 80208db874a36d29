"""Drift over runs: what is followed, how sure a rate is, and when a recheck is due."""

from __future__ import annotations

import math
from itertools import pairwise

import msgspec
import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from profiles.load import load
from wizard.drift import HEIGHT, Due, Visit, courses, due, fitted_rate, spans
from wizard.drift_chart import individuals
from wizard.history.drifting import chart, due_sentence
from wizard.records.supports import supports_of
from wizard.solver.layout import support_influence

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


def sinking(support: str, mm_a_day: float, runs: int = 6) -> list[Visit]:
    """Rechecks of a plate on four supports, one of which sinks steadily; it is set after each."""
    machine = load("four-corner-220")
    points, names, influence = support_influence(machine)
    opened = influence[:, names.index(support)]
    level = dict.fromkeys(points, machine.wanted_gap_mm)
    found = {
        name: machine.wanted_gap_mm + 10.0 * mm_a_day * share
        for name, share in zip(points, opened, strict=True)
    }
    return [Visit(0.0, None, level), *(Visit(10.0 * n, found, level) for n in range(1, runs))]


@pytest.mark.parametrize("support", ["front left", "back right"])
def test_the_support_that_sinks_is_the_one_that_is_named(support: str) -> None:
    supports = supports_of(load("four-corner-220"))
    rates = {course.place: course.rate for course in courses(sinking(support, 0.002), supports)}
    assert rates[support] == pytest.approx(0.002 * 3 / 4)  # against the others, all of which together
    assert rates[HEIGHT] == pytest.approx(0.002 / 4)  # are as one quarter of a lower plate
    for name, rate in rates.items():
        if name not in (support, HEIGHT):
            assert rate == pytest.approx(-0.002 / 4)
    told = due(sinking(support, 0.002), 0.05, 0.15, supports)
    assert (told.kind, told.place, told.of) == ("drifts", support, "support")
    assert f"the support {support} sinks by 0.045 mm in 30 days" in due_sentence(told)


def test_a_plate_that_sinks_as_a_whole_is_the_height_alone() -> None:
    supports = supports_of(load("three-point-225"))
    points = [point.name for point in load("three-point-225").point]
    level, low = dict.fromkeys(points, 0.15), dict.fromkeys(points, 0.16)
    told = courses([Visit(0.0, None, level), *(Visit(10.0 * n, low, level) for n in range(1, 5))], supports)
    rates = {course.place: course.rate for course in told}
    assert rates.pop(HEIGHT) == pytest.approx(0.001)
    assert list(rates.values()) == pytest.approx([0.0] * 3, abs=1e-12)


def test_where_points_cannot_tell_the_supports_apart_the_points_are_followed() -> None:
    machine = load("four-corner-220")
    few = msgspec.structs.replace(machine, point=machine.point[:3])
    assert supports_of(few) is None
    assert {
        course.kind
        for course in courses(
            [Visit(0.0, None, LEVEL), rechecked(1, 0.16, 0.14), rechecked(2, 0.16, 0.14)], supports_of(few)
        )
    } == {"height", "point"}


@given(st.lists(st.floats(-0.3, 0.3), min_size=4, max_size=4), st.floats(-0.3, 0.3))
@settings(max_examples=40, deadline=None)
def test_any_moves_of_supports_and_height_are_found_again(moves: list[float], height: float) -> None:
    """What is told of supports adds up to none; together with the height it opens the same gaps."""
    machine = load("four-corner-220")
    points, names, influence = support_influence(machine)
    supports = supports_of(machine)
    assert supports is not None
    opened = dict(zip(points, influence @ np.array(moves) + height, strict=True))
    told = {name: sum(w * opened[p] for p, w in of.items()) for name, of in supports.sunk.items()}
    whole = sum(w * opened[p] for p, w in supports.height.items())
    assert sum(told.values()) == pytest.approx(0.0, abs=1e-12)
    assert whole == pytest.approx(height + sum(moves) / 4, abs=1e-9)
    again = influence @ np.array([told[name] for name in names]) + whole
    assert list(again) == pytest.approx(list(opened.values()), abs=1e-9)
