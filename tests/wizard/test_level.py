"""The levelling procedure, driven answer by answer against made-up plates."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

import msgspec
import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from profiles.load import load
from profiles.machine import Gauge, Heat, Height, Machine, Thread
from wizard import requests as ask
from wizard.facts import Facts
from wizard.procedures.level import MOST_ROUNDS, level
from wizard.rounds import Reading

MakePlate = Callable[..., Any]
Override = Callable[[ask.AnyRequest], ask.AnyAnswer | None]
MOST_ANSWERS = 400


class Told:
    """A whole job: all requests with their answers, and the outcome."""

    def __init__(self, plate: Any, gauge: str, override: Override = lambda _: None, **facts: Any) -> None:
        self.steps: list[tuple[ask.AnyRequest, ask.AnyAnswer]] = []
        course = level(Facts(plate.machine, **facts))
        request = next(course)
        try:
            while len(self.steps) < MOST_ANSWERS:
                answer = override(request) or plate.answer(request, gauge)
                self.steps.append((request, answer))
                request = course.send(answer)
        except StopIteration as end:
            self.outcome: ask.Outcome = end.value

    def all(self, *kinds: type) -> list[Any]:
        """Return the requests of some kinds, in order."""
        return [request for request, _ in self.steps if isinstance(request, kinds)]

    @property
    def answers(self) -> int:
        """How many answers the person gave."""
        return len(self.all(ask.ByPerson))


def instead(kind: type, *answers: ask.AnyAnswer | None) -> Override:
    """Return an override that answers the first requests of a kind otherwise."""
    left = list(answers)
    return lambda request: left.pop(0) if isinstance(request, kind) and left else None


def index_of(steps: Iterable[tuple[ask.AnyRequest, Any]], kind: type) -> int:
    return next(i for i, (request, _) in enumerate(steps) if isinstance(request, kind))


@pytest.mark.parametrize("gauge", ["leaf", "feel"])
@pytest.mark.parametrize("seed", range(4))
def test_a_snugged_down_bed_is_proven_level_in_few_rounds(
    machine: Machine, make_plate: MakePlate, gauge: str, seed: int
) -> None:
    plate = make_plate(machine, seed)
    job = Told(plate, gauge)
    assert job.outcome.proven
    assert job.outcome.finding is not None
    assert job.outcome.finding.verdict == "within"
    assert job.outcome.rounds <= (3 if gauge == "feel" else 5)
    assert plate.worst_mm() <= machine.first_layer.tolerance_mm
    assert plate.touched == []


def test_the_job_begins_with_the_cautions_and_nothing_moves_before_hands_are_clear(
    machine: Machine, make_plate: MakePlate
) -> None:
    job = Told(make_plate(machine, 1), "leaf")
    topics = [request.topic for request in job.all(ask.Confirm)]
    assert topics[:5] == ["cautions", "clean-tip", "bed-clear", "snug-adjusters", "hands-clear"]
    kinds = [type(request) for request, _ in job.steps[:9]]
    assert kinds[4:] == [ask.Connect, ask.Confirm, ask.Warm, ask.Soak, ask.Home]


def test_the_job_ends_lifted_with_heaters_off_and_the_result_shown(
    machine: Machine, make_plate: MakePlate
) -> None:
    job = Told(make_plate(machine, 1), "leaf")
    kinds = [type(request) for request, _ in job.steps[-3:]]
    assert kinds == [ask.Lift, ask.CoolDown, ask.ShowResult]
    shown = job.steps[-1][0]
    assert isinstance(shown, ask.ShowResult)
    assert (shown.finding, shown.rounds, shown.proven) == (
        job.outcome.finding,
        job.outcome.rounds,
        job.outcome.proven,
    )


def test_a_machine_measured_cold_is_not_heated(four_corners: Machine, make_plate: MakePlate) -> None:
    cold = msgspec.structs.replace(
        four_corners, heat=msgspec.structs.replace(four_corners.heat, bed_c=0.0, nozzle_c=0.0)
    )
    assert Told(make_plate(cold, 1), "leaf").all(ask.Warm, ask.Soak) == []


def test_by_hand_only_leaves_are_offered(machine: Machine, make_plate: MakePlate) -> None:
    job = Told(make_plate(machine, 1), "feel", by_hand=True)
    assert job.all(ask.Choose)[0].options == ("leaf",)
    assert job.all(ask.Feel) == []
    assert job.outcome.proven


def test_a_level_bed_needs_no_turn_only_a_second_pass_in_another_order(
    machine: Machine, make_plate: MakePlate
) -> None:
    """Of a machine that prints as it is measured: the wanted gap is then one of the leaves."""
    machine = msgspec.structs.replace(machine, heat=Heat())
    plate = make_plate(machine, 1, 0.148, 0.152)
    plate.bow_mm = 0.0
    job = Told(plate, "leaf")
    assert job.all(ask.Turn) == []
    assert job.outcome.proven
    assert job.outcome.rounds == 2
    orders = [list(dict.fromkeys(r.point for r in job.all(ask.TakeReading) if r.round == n)) for n in (1, 2)]
    by = {p.name for p in machine.levelling_points}
    again = [name for name in orders[1] if name in by]
    assert sorted(orders[0]) == sorted(again) == sorted(by)
    assert orders[0] != again
    assert set(orders[1][len(by) :]) == {p.name for p in machine.point} - by


def test_every_point_is_read_in_the_pass_that_proves(machine: Machine, make_plate: MakePlate) -> None:
    job = Told(make_plate(machine, 2), "feel")
    last = [r for r in job.all(ask.TakeReading, ask.Feel) if r.round == job.outcome.rounds]
    assert {r.point for r in last} == {p.name for p in machine.point}
    assert {r.phase for r in last} == {"verify"}


def test_over_a_point_never_read_a_thick_card_is_tried_first(machine: Machine, make_plate: MakePlate) -> None:
    """Without leaves over every one; with them only where none is as thick as what is expected."""
    bare = msgspec.structs.replace(machine, gauge=Gauge(card_mm=0.1))
    asked = Told(make_plate(bare, 3), "feel").all(ask.LookForDaylight, ask.Feel)
    points = {p.name for p in machine.levelling_points}
    begun = [next(i for i, one in enumerate(asked) if one.point == name) for name in points]
    looks = [asked[i] for i in sorted(begun)]
    assert all(isinstance(look, ask.LookForDaylight) for look in looks)
    first, *others = list(dict.fromkeys(look.point for look in looks))
    assert {first, *others} == points
    ups = [look.z_mm - machine.measuring_height_mm for look in looks]
    assert ups[0] > 1.6
    assert all(up >= 0.6 - 1e-9 for up in ups)
    job = Told(make_plate(machine, 3), "feel")
    assert job.all(ask.LookForDaylight)[0].point == first
    read = [r for r in job.all(ask.TakeReading) if r.round == 1]
    assert read[0].point == first
    thickest_mm = machine.gauge.leaves_mm[-1]
    assert all(one.z_mm <= machine.measuring_height_mm + thickest_mm for one in read)


def test_a_plate_left_too_high_is_never_touched(machine: Machine, make_plate: MakePlate) -> None:
    """Where the screws were not tightened first, as much as a millimetre too high."""
    for gauge in ("leaf", "feel"):
        plate = make_plate(machine, 3, -0.9, -0.5)
        job = Told(plate, gauge)
        assert plate.touched == []
        assert job.outcome.proven


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    name=st.sampled_from(["four-corner-220", "three-point-225"]),
    gauge=st.sampled_from(["leaf", "feel", "card"]),
    centre=st.booleans(),
    low_gap_mm=st.floats(0.05, 0.9),
    share=st.floats(0.0, 1.0),
    signs=st.sampled_from([(1, 1), (1, -1), (-1, 1), (-1, -1)]),
)
def test_a_plate_tilted_by_two_millimetres_from_corner_to_corner_is_never_touched(
    make_plate: MakePlate,
    name: str,
    gauge: str,
    centre: bool,
    low_gap_mm: float,
    share: float,
    signs: tuple[int, int],
) -> None:
    """Whichever way it is tilted, with a point in the middle or without, leaves at hand or not.

    The first point is the low corner or some other; the axes were homed where the plate is lowest.
    """
    machine = load(name)
    points = tuple(p for p in machine.levelling_points if centre or p.name != "centre")
    bare = Gauge(card_mm=0.1) if gauge == "card" else machine.gauge
    machine = msgspec.structs.replace(machine, point=points, gauge=bare)
    corners = np.array([p.at_mm for p in points])
    middle, half = (corners.max(0) + corners.min(0)) / 2.0, (corners.max(0) - corners.min(0)) / 2.0
    slope = np.array([signs[0] * share, signs[1] * (1.0 - share)]) / half
    plate = make_plate(machine, 1)
    plate.gap0 = [low_gap_mm - 1.0 + slope @ (np.array(a.at_mm) - middle) for a in machine.adjuster]
    lowest = max(plate.gap_mm(p.name) for p in points)
    plate.gap0 = [gap - lowest + low_gap_mm for gap in plate.gap0]
    Told(plate, "leaf" if gauge == "leaf" else "feel")
    assert plate.touched == []


def test_the_nozzle_is_lifted_before_every_turn(machine: Machine, make_plate: MakePlate) -> None:
    job = Told(make_plate(machine, 4), "leaf")
    before = [job.steps[i - 1][0] for i, (r, _) in enumerate(job.steps) if isinstance(r, ask.Turn)]
    assert before
    assert all(isinstance(request, ask.Lift) for request in before)


def test_a_plate_far_below_the_gauge_is_brought_into_range_by_coarse_turns(
    machine: Machine, make_plate: MakePlate
) -> None:
    plate = make_plate(machine, 5, 1.6, 2.2)
    job = Told(plate, "feel")
    assert job.all(ask.Turn)[0].coarse
    assert job.outcome.proven
    assert plate.touched == []


def test_a_plate_that_stands_too_high_is_lowered_first(machine: Machine, make_plate: MakePlate) -> None:
    plate = make_plate(machine, 6, -0.5, -0.3)
    job = Told(plate, "leaf")
    assert job.outcome.proven
    assert plate.touched == []


def test_a_point_left_out_in_the_last_pass_keeps_the_result_unproven(
    machine: Machine, make_plate: MakePlate
) -> None:
    skipped = machine.point[1].name

    def leave_out(request: ask.AnyRequest) -> ask.AnyAnswer | None:
        if isinstance(request, ask.TakeReading) and request.point == skipped and request.round > 1:
            return ask.Skipped("a clip is in the way")
        return ask.Chosen(ask.STOP_HERE) if request == ask.Choose else None

    job = Told(make_plate(machine, 1), "leaf", leave_out)
    assert not job.outcome.proven
    assert isinstance(job.steps[-1][0], ask.ShowResult)


def test_with_every_reading_left_out_the_job_ends_unproven_when_the_person_stops(
    machine: Machine, make_plate: MakePlate
) -> None:
    job = Told(
        make_plate(machine, 1),
        "leaf",
        lambda r: ask.Skipped("no time") if isinstance(r, ask.LookForDaylight | ask.TakeReading) else None,
    )
    stuck = [r for r in job.all(ask.Choose) if r.topic == "stuck"]
    assert len(stuck) == 1
    assert ask.GO_ON_ANYWAY not in stuck[0].options
    assert (job.outcome.proven, job.all(ask.Turn)) == (False, [])


def test_a_person_who_has_no_leaves_can_go_on_with_the_card_alone(
    machine: Machine, make_plate: MakePlate
) -> None:
    plate = make_plate(machine, 1)
    job = Told(plate, "feel", lambda r: ask.Skipped("no leaves") if isinstance(r, ask.TakeReading) else None)
    assert len(job.all(ask.TakeReading)) == 1
    assert plate.touched == []
    assert job.outcome.proven


def test_a_gauge_without_leaves_is_felt_down_in_steps_of_what_is_free(
    machine: Machine, make_plate: MakePlate
) -> None:
    card_only = msgspec.structs.replace(machine, gauge=Gauge(card_mm=0.10))
    plate = make_plate(card_only, 3, 0.3, 0.6)
    job = Told(plate, "feel")
    assert job.all(ask.TakeReading) == []
    assert plate.touched == []
    assert job.outcome.proven
    before: tuple[ask.AnyRequest, ask.AnyAnswer] | None = None
    for request, answer in job.steps:
        if isinstance(request, ask.Feel):
            if before and before[0].point == request.point and before[0].round == request.round:
                assert before[0].z_mm - request.z_mm <= 0.10 + 1e-9
            before = (request, answer)


def test_a_turn_refused_leaves_the_choice_to_repeat_or_to_stop(
    machine: Machine, make_plate: MakePlate
) -> None:
    job = Told(make_plate(machine, 1), "leaf", instead(ask.Turn, ask.Skipped("the nut is stuck")))
    stuck = [r for r in job.all(ask.Choose) if r.topic == "stuck"]
    assert stuck[0].options == (ask.REPEAT_READINGS, ask.STOP_HERE)
    assert not job.outcome.proven


def test_a_bed_whose_shape_no_adjuster_can_mend_is_told_and_ends_unproven(
    machine: Machine, make_plate: MakePlate
) -> None:
    plate = make_plate(machine, 1)
    plate.bow_mm = 0.5
    job = Told(plate, "feel")
    stuck = [r for r in job.all(ask.Choose) if r.topic == "stuck"]
    assert stuck
    assert stuck[0].finding is not None
    assert not job.outcome.proven
    assert job.outcome.rounds <= MOST_ROUNDS


def test_nothing_is_turned_after_the_last_pass_of_a_job_that_never_converges(
    machine: Machine, make_plate: MakePlate
) -> None:
    """Each turn is reported as made and is not: sooner or later the passes are used up."""

    def stubborn(request: ask.AnyRequest) -> ask.AnyAnswer | None:
        if isinstance(request, ask.Turn):
            return ask.Turned(request.turns)
        if isinstance(request, ask.Choose) and request.topic in ("stuck", "suspicion"):
            wanted = (ask.GO_ON, ask.GO_ON_ANYWAY, ask.REPEAT_READINGS)
            return ask.Chosen(next(option for option in wanted if option in request.options))
        return None

    job = Told(make_plate(machine, 1), "leaf", stubborn)
    assert job.outcome.rounds == MOST_ROUNDS
    assert not job.outcome.proven
    assert max(turn.round for turn in job.all(ask.Turn)) < MOST_ROUNDS


@pytest.mark.parametrize(
    ("height", "kind"),
    [
        (Height(by="stored offset", set_command="M1 {change_mm}", store_command="M2"), ask.SetHeight),
        (Height(by="endstop screw", screw=Thread(thread="M3", clockwise="raises")), ask.TurnEndstop),
        (Height(by="operator"), ask.ChangeHeightByMenu),
    ],
)
def test_the_nozzle_height_is_changed_by_the_way_that_the_profile_names(
    machine: Machine, make_plate: MakePlate, height: Height, kind: type
) -> None:
    apart = msgspec.structs.replace(machine, height=height)
    plate = make_plate(apart, 2, 0.35, 0.6)
    job = Told(plate, "feel")
    ways = {type(r) for r in job.all(ask.SetHeight, ask.TurnEndstop, ask.ChangeHeightByMenu)}
    assert ways == {kind}
    assert len(job.all(ask.Store)) == len(job.all(ask.SetHeight))
    assert job.outcome.proven
    assert plate.worst_mm() <= machine.first_layer.tolerance_mm
    assert plate.touched == []


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    name=st.sampled_from(["four-corner-220", "three-point-225"]),
    seed=st.integers(0, 10_000),
    gauge=st.sampled_from(["leaf", "feel"]),
    low_mm=st.floats(-0.5, 1.8),
    spread_mm=st.floats(0.0, 1.0),
)
def test_answered_truthfully_the_nozzle_never_touches_and_the_job_ends(
    make_plate: MakePlate, name: str, seed: int, gauge: str, low_mm: float, spread_mm: float
) -> None:
    plate = make_plate(load(name), seed, low_mm, low_mm + spread_mm)
    job = Told(plate, gauge)
    assert plate.touched == []
    assert job.outcome.rounds <= MOST_ROUNDS
    assert len(job.steps) < MOST_ANSWERS
    if job.outcome.proven:
        assert plate.worst_mm() <= plate.machine.first_layer.tolerance_mm


@settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(seed=st.integers(0, 10_000), data=st.data())
def test_whatever_a_person_answers_the_job_asks_on_and_stays_above_the_floor(
    make_plate: MakePlate, seed: int, data: st.DataObject
) -> None:
    machine = load("four-corner-220")

    def anything(request: ask.AnyRequest) -> ask.AnyAnswer | None:
        match request:
            case ask.LookForDaylight():
                return ask.Seen(data.draw(st.booleans()))
            case ask.TakeReading():
                low, high = sorted(data.draw(st.tuples(st.floats(0, 2), st.floats(0, 2))))
                return ask.ReadingTaken(Reading(low, high, "leaf"))
            case ask.Feel():
                return ask.Felt(data.draw(st.sampled_from(["free", "drag", "tight"])))
            case ask.Choose():
                return ask.Chosen(data.draw(st.sampled_from(request.options)))
        return None

    job = Told(make_plate(machine, seed), "feel", anything)
    floor_mm = machine.motion.z_mm[0]
    assert all(request.z_mm >= floor_mm for request in job.all(ask.Park, ask.Lower))
    assert index_of(job.steps, ask.Home) < index_of(job.steps, ask.Park)
