"""Which points a pass reads."""

from __future__ import annotations

import msgspec
import pytest

from profiles.machine import Heat, Machine, Point
from wizard import requests as ask
from wizard.facts import Facts
from wizard.procedures.job import Job
from wizard.procedures.telling import Telling, story_of
from wizard.rounds import Reading, Round
from wizard.solver import solve
from wizard.solver.finding import Finding, Suspicion

FAR = Reading(0.40, 0.42, "feel")
RIGHT = Reading(0.14, 0.16, "feel")


@pytest.fixture
def nine(four_corners: Machine) -> Machine:
    """A machine with nine points, levelled cold."""
    places = [(x, y) for y in (30.0, 110.0, 190.0) for x in (30.0, 110.0, 190.0)]
    points = tuple(Point(name=f"{x:g} {y:g}", at_mm=(x, y)) for x, y in places)
    return msgspec.structs.replace(four_corners, point=points, heat=Heat())


def telling(machine: Machine, phase: str, *rounds: Round) -> Telling:
    job = Job(Facts(machine, gauge="feel", rounds=rounds))
    return Telling(job, max(len(rounds), 1), phase)  # type: ignore[arg-type]


def test_before_a_turn_the_points_that_the_others_foretell_are_left_out(nine: Machine) -> None:
    read: dict[str, Reading] = {}
    while points := telling(nine, "first", *([Round(read)] if read else [])).points():
        read[points[0]] = FAR
    assert 5 <= len(read) < 9
    assert solve(nine, [Round(read)]).status == "turn"


def test_a_verification_reads_every_point(nine: Machine) -> None:
    read = {p.name: RIGHT for p in nine.point[:8]}
    this = telling(nine, "verify", Round(read))
    assert this.points() == [nine.point[8].name]
    assert not this.whole
    assert telling(nine, "verify", Round({**read, nine.point[8].name: RIGHT})).whole


def test_points_that_only_prove_come_last_and_only_where_the_others_are_proven(four_corners: Machine) -> None:
    cold = msgspec.structs.replace(four_corners, heat=Heat())
    only = [p.name for p in cold.point if p.only]
    assert only
    by = {p.name: RIGHT for p in cold.levelling_points}
    assert not set(telling(cold, "first").points()) & set(only)
    assert set(telling(cold, "verify", Round(by)).points()) == set(only)
    assert not telling(cold, "verify", Round(by)).whole
    unsure = {**by, "centre": Reading(0.17, 0.20, "feel")}
    assert telling(cold, "verify", Round(unsure)).points() == []
    assert telling(cold, "adjust", Round(by)).points() == []
    assert telling(cold, "adjust", Round(by)).whole
    assert telling(cold, "verify", Round({**by, **dict.fromkeys(only, RIGHT)})).whole


def test_a_verification_that_can_no_longer_prove_anything_reads_only_what_a_turn_hangs_on(
    four_corners: Machine,
) -> None:
    cold = msgspec.structs.replace(four_corners, heat=Heat())
    names = [p.name for p in cold.point]
    first = Round(dict.fromkeys(names, FAR), {a.name: -0.5 for a in cold.adjuster})
    as_meant = Round({names[0]: RIGHT})
    assert set(telling(cold, "verify", first, as_meant).points()) == {
        p.name for p in cold.levelling_points[1:]
    }
    outside = Round({names[0]: Reading(0.22, 0.24, "feel")})
    assert len(telling(cold, "verify", first, outside).points()) < 4


def test_a_pass_stops_where_something_is_to_be_asked_about(four_corners: Machine) -> None:
    cold = msgspec.structs.replace(four_corners, heat=Heat())
    names = [p.name for p in cold.point]
    turned = cold.adjuster[0].name
    first = Round(dict.fromkeys(names, Reading(0.30, 0.32, "feel")), {turned: -0.5})
    other_way = Round({names[0]: Reading(0.54, 0.56, "feel")})
    this = telling(cold, "verify", first, other_way)
    assert this.points() == []
    finding = solve(cold, [first, other_way])
    story = story_of(finding)
    assert story is not None
    assert (story.kind, story.adjuster) == ("turned-other-way", turned)
    this.told.add(story)
    assert this.points() == [one.point for one in finding.ask if one.point != names[0]]


def test_a_point_left_out_is_not_asked_for_again_and_nothing_is_proven(nine: Machine) -> None:
    this = telling(nine, "verify", Round({nine.point[0].name: RIGHT}))
    course = this.read()
    assert isinstance(next(course), ask.Park)
    request = course.send(ask.Done())
    while not isinstance(request, ask.LookForDaylight | ask.TakeReading | ask.Feel):
        request = course.send(ask.Done())
    left_out = request.point
    course.send(ask.Skipped("a clip is in the way"))
    assert left_out in this.left_out
    assert left_out not in this.points()
    assert not this.whole


def test_a_story_is_the_same_whatever_its_odds() -> None:
    one = Finding("outside", "turn", suspicion=Suspicion("not-turned", 12.0, "front left"))
    other = Finding("outside", "turn", suspicion=Suspicion("not-turned", 3.0, "front left"))
    assert story_of(one) == story_of(other)
    assert story_of(Finding("outside", "turn")) is None
