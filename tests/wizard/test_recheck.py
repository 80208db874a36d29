"""The recheck, answer by answer on a made-up plate: what it asks, what it finds, and the ways on."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.load import load
from profiles.machine import Machine, Point
from profiles.threads import raise_per_clockwise_turn_mm
from wizard import requests as ask
from wizard.base import Base
from wizard.facts import Facts
from wizard.instructions.rechecking import change_sentence
from wizard.procedures.recheck import recheck
from wizard.rounds import Reading, Round
from wizard.since import Change, next_point
from wizard.solver.layout import support_influence

STORED = load("stored-offset-140")
THREE = load("three-point-225")
FOUR = load("four-corner-220")


def level_base(machine: Machine, days: float = 12.0) -> Base:
    """A proven run that left every gap at the target, read to 0.02 mm."""
    target = machine.wanted_gap_mm
    readings = {p.name: Reading(target - 0.01, target + 0.01, "feel") for p in machine.point}
    return Base("abc", "2026-01-01T00:00:00+00:00", days, (Round(readings),))


class Plate:
    """A plate, a gauge and a person that answer a recheck. `gaps` at the measuring height, mm."""

    def __init__(self, machine: Machine, moved: dict[str, float] | float, choose: str = ask.CLOSE) -> None:
        self.machine = machine
        self.target = machine.wanted_gap_mm
        each = moved if isinstance(moved, dict) else {p.name: moved for p in machine.point}
        self.gaps = {p.name: self.target + each.get(p.name, 0.0) for p in machine.point}
        self.choose = choose
        self.gauge = "feel"
        self.skips: set[str] = set()
        self.slips: dict[str, float] = {}
        self.changes: list[Change] = []
        self.asked: list[ask.AnyRequest] = []
        self.at = ""

    def run(self, base: Base | None = None) -> ask.Outcome:
        steps = recheck(Facts(self.machine, base=base or level_base(self.machine)))
        request = next(steps)
        for _ in range(400):
            try:
                request = steps.send(self.answer(request))
            except StopIteration as end:
                outcome: ask.Outcome = end.value
                return outcome
        raise AssertionError("it never ends")

    def answer(self, request: ask.AnyRequest) -> ask.AnyAnswer:
        self.asked.append(request)
        match request:
            case ask.Confirm() | ask.ShowResult():
                return ask.Confirmed()
            case ask.Choose():
                return ask.Chosen(self.gauge if self.gauge in request.options else request.options[-1])
            case ask.Connect():
                return ask.Connected("line")
            case ask.Park() | ask.Lower():
                assert self.gap(request.point, request.z_mm) > 0.0, "the nozzle meets the plate"
                return ask.Done()
            case ask.LookForDaylight() if request.point not in self.skips:
                return ask.Seen(self.gap(request.point, request.z_mm) > request.thick_mm)
            case ask.TakeReading() if request.point not in self.skips:
                return ask.ReadingTaken(self.leaf(self.felt(request.point, request.z_mm)))
            case ask.Feel() if request.point not in self.skips:
                off = self.felt(request.point, request.z_mm) - request.card_mm
                return ask.Felt("drag" if abs(off) <= 0.01 else "free" if off > 0 else "tight")
            case ask.Turn():
                self.turn(request.turns)
                return ask.Turned(request.turns)
            case ask.SetHeight():
                self.gaps = {name: gap + request.change_mm for name, gap in self.gaps.items()}
                return ask.Done()
            case ask.ShowChange():
                self.changes.append(request.change)
                return ask.Chosen(self.choose if self.choose in request.options else ask.CLOSE)
            case ask.ByPerson():
                return ask.Skipped("left out")
        return ask.Done()

    def gap(self, point: str, z_mm: float) -> float:
        return self.gaps[point] + z_mm - self.machine.measuring_height_mm

    def felt(self, point: str, z_mm: float) -> float:
        return self.gap(point, z_mm) + self.slips.get(point, 0.0)

    def leaf(self, gap_mm: float) -> Reading:
        leaves = self.machine.gauge.leaves_mm
        slides = [leaf for leaf in leaves if leaf < gap_mm]
        held = [leaf for leaf in leaves if leaf >= gap_mm]
        return Reading(max(slides, default=None), min(held, default=None), "leaf")

    def turn(self, turns: dict[str, float]) -> None:
        """All adjusters by the same amount move the whole plate."""
        mean = sum(turns.values()) / len(self.machine.adjuster)
        rise = mean * (raise_per_clockwise_turn_mm(self.machine.adjuster[0]) or 0.0)
        self.gaps = {name: gap - rise for name, gap in self.gaps.items()}

    @property
    def points_read(self) -> list[str]:
        readings = [r for r in self.asked if isinstance(r, ask.TakeReading | ask.Feel) and r.round == 1]
        return list(dict.fromkeys(r.point for r in readings))


def test_without_a_proven_run_there_is_nothing_to_compare_with() -> None:
    with pytest.raises(ValueError, match="proven run"):
        next(recheck(Facts(STORED)))


def test_it_begins_with_the_cautions_of_a_nozzle_swap_and_tightens_no_adjuster() -> None:
    plate = Plate(STORED, 0.0)
    plate.run()
    topics = [request.topic for request in plate.asked if isinstance(request, ask.Confirm)]
    assert topics == ["cautions", "nozzle-swap", "bed-clear", "hands-clear"]


@pytest.mark.parametrize("moved_mm", [-0.2, -0.08, 0.08, 0.15])
def test_a_swap_is_found_by_three_points_and_the_stored_height_is_set(moved_mm: float) -> None:
    plate = Plate(STORED, moved_mm, ask.SET_HEIGHT)
    outcome = plate.run()
    first, last = plate.changes
    assert (first.kind, len(plate.points_read)) == ("height", 3)
    assert first.height_mm == pytest.approx(moved_mm, abs=0.02)
    assert last.done
    assert outcome.proven
    assert max(abs(gap - plate.target) for gap in plate.gaps.values()) <= 0.02
    assert any(isinstance(request, ask.Store) for request in plate.asked)


@pytest.mark.parametrize("moved_mm", [-0.1, 0.0, 0.12, 0.3])
def test_by_leaves_alone_it_comes_to_the_same(moved_mm: float) -> None:
    """Leaves a twentieth apart, read at heights that halve their brackets."""
    plate = Plate(THREE, moved_mm)
    plate.gauge = "leaf"
    plate.run()
    (change,) = plate.changes
    assert change.kind == ("height" if moved_mm else "same")
    assert change.height_mm == pytest.approx(moved_mm, abs=0.02)
    assert not any(isinstance(request, ask.Feel) for request in plate.asked)


def test_a_tilt_is_found_by_leaves_alone() -> None:
    plate = Plate(THREE, {"front left": 0.2, "front right": 0.2})
    plate.gauge = "leaf"
    plate.run()
    assert plate.changes[0].kind == "tilt"


def test_gaps_beyond_the_gauge_are_not_called_anything_they_may_not_be() -> None:
    plate = Plate(STORED, 0.5)
    outcome = plate.run()
    (change,) = plate.changes
    assert change.kind == "wrong"
    assert "beyond what the gauge reads" in change_sentence(change)
    assert not outcome.proven


def test_where_the_beds_own_screws_set_the_height_all_are_turned_alike_and_every_point_is_read() -> None:
    plate = Plate(THREE, 0.125, ask.SET_HEIGHT)
    outcome = plate.run()
    (turn,) = (request for request in plate.asked if isinstance(request, ask.Turn))
    assert set(turn.turns) == {adjuster.name for adjuster in THREE.adjuster}
    assert len({round(turns, 3) for turns in turn.turns.values()}) == 1
    again = {r.point for r in plate.asked if isinstance(r, ask.TakeReading | ask.Feel) and r.round == 2}
    assert again == {point.name for point in THREE.point}
    assert outcome.proven


@pytest.mark.parametrize("machine", [STORED, THREE, FOUR])
def test_what_has_not_changed_needs_nothing(machine: Machine) -> None:
    plate = Plate(machine, 0.0)
    outcome = plate.run()
    (change,) = plate.changes
    assert change.kind == "same"
    assert outcome.proven
    assert outcome.finding is not None
    assert outcome.finding.verdict == "within"


@pytest.mark.parametrize("name", [adjuster.name for adjuster in FOUR.adjuster])
def test_a_corner_that_came_loose_is_named_with_figure_and_the_bed_is_not_called_right(name: str) -> None:
    """Whichever corner it is: on four screws one corner can move while the other three stand."""
    points, supports, influence = support_influence(FOUR)
    moves = 0.15 * influence[:, supports.index(name)]
    plate = Plate(FOUR, dict(zip(points, moves, strict=True)))
    outcome = plate.run()
    (change,) = plate.changes
    assert (change.kind, change.place) == ("tilt", name)
    assert change.place_mm == pytest.approx(-0.15, abs=0.05)
    assert not outcome.proven


def test_after_a_tilt_levelling_goes_on_at_once_where_it_is_wanted() -> None:
    plate = Plate(THREE, {"front left": 0.2, "front right": 0.2}, ask.LEVEL_NOW)
    plate.choose = ask.LEVEL_NOW
    steps = recheck(Facts(THREE, base=level_base(THREE)))
    request = next(steps)
    while not (isinstance(request, ask.TakeReading | ask.Feel) and request.round > 1):
        request = steps.send(plate.answer(request))
    assert plate.changes[0].kind == "tilt"


def test_a_slipped_reading_is_taken_again_before_anything_is_said() -> None:
    """A reading that no move of the plate explains is asked for once more; then it is only the height."""
    plate = Plate(STORED, 0.1, ask.CLOSE)
    plate.slips["centre"] = 0.12
    answer = plate.answer

    def once(request: ask.AnyRequest) -> ask.AnyAnswer:
        told = answer(request)
        others = {r.point for r in plate.asked if isinstance(r, ask.Park)}
        if len(others) == len(STORED.point):
            plate.slips.clear()
        return told

    plate.answer = once  # type: ignore[method-assign]
    plate.run()
    assert plate.changes[-1].kind in ("height", "wrong")


def test_points_left_out_prove_nothing() -> None:
    plate = Plate(STORED, 0.0)
    plate.skips = {point.name for point in STORED.point}
    outcome = plate.run()
    assert plate.changes[-1].kind == "wrong"
    assert not outcome.proven


@pytest.mark.parametrize("make", [lambda: STORED, lambda: THREE])
@given(moved_mm=st.floats(-0.6, 0.6), tilt=st.floats(-0.3, 0.3))
@settings(max_examples=12, deadline=None)
def test_the_nozzle_never_meets_the_plate_and_a_tilt_is_never_called_right(
    make: Callable[[], Machine], moved_mm: float, tilt: float
) -> None:
    """`Plate.answer` fails where the nozzle is sent into the plate, whatever nozzle was put in."""
    machine = make()
    xs = [point.at_mm[0] for point in machine.point]
    middle, half = (max(xs) + min(xs)) / 2.0, (max(xs) - min(xs)) / 2.0
    moves = {p.name: moved_mm + tilt * (p.at_mm[0] - middle) / half for p in machine.point}
    plate = Plate(machine, moves)
    outcome = plate.run()
    if abs(tilt) > machine.first_layer.tolerance_mm + 0.02:
        assert not outcome.proven
        assert plate.changes[-1].kind in ("tilt", "wrong")


def first_points(machine: Machine, count: int) -> list[str]:
    """Return what is read first while every reading is as it was."""
    base, target, found = level_base(machine), machine.wanted_gap_mm, Round()
    for _ in range(count):
        point = next_point(machine, base, found)
        assert point is not None
        found = Round({**found.readings, point: Reading(target - 0.01, target + 0.01, "feel")})
    return list(found.readings)


def least_seen(machine: Machine, points: list[str]) -> float:
    """Return what these points show of the support they see worst, as a share of its move."""
    names, _, influence = support_influence(machine)
    at = influence[[names.index(point) for point in points]]
    return float(np.linalg.norm(at - at.mean(axis=0), axis=0).min())


def test_the_first_three_points_leave_no_support_unseen() -> None:
    """Three corners of four would not see the fourth; the middle shows a quarter of each: 0.25 sqrt(2/3)."""
    corners = msgspec.structs.replace(FOUR, point=FOUR.levelling_points)
    points = first_points(corners, 3)
    assert "centre" in points
    assert least_seen(corners, points) == pytest.approx(0.25 * (2 / 3) ** 0.5, abs=0.02)
    assert least_seen(THREE, first_points(THREE, 3)) > 0.4


def test_points_in_the_middle_of_edges_are_chosen_where_a_profile_has_them() -> None:
    """Each support then shows by half its move at one point or two: 0.5 sqrt(2/3) at the least."""
    points = first_points(FOUR, 3)
    assert {"front middle", "right middle", "back middle"} & set(points)
    assert least_seen(FOUR, points) >= 0.9 * 0.5 * (2 / 3) ** 0.5


@pytest.mark.parametrize("moved_mm", [-0.12, 0.08, 0.2])
def test_a_swap_on_four_screws_is_decided_by_three_points(moved_mm: float) -> None:
    plate = Plate(FOUR, moved_mm)
    plate.run()
    assert plate.changes[0].kind == "height"
    assert len(plate.points_read) == 3


def test_of_very_many_points_the_next_is_still_found_at_once() -> None:
    grid = tuple(
        Point(name=f"{x} {y}", at_mm=(20.0 + 35.0 * x, 20.0 + 35.0 * y)) for x in range(6) for y in range(6)
    )
    machine = msgspec.structs.replace(FOUR, point=grid)
    assert len(set(first_points(machine, 3))) == 3


@pytest.mark.parametrize("machine", [STORED, THREE, FOUR], ids=["stored", "three", "four"])
@pytest.mark.parametrize("longer_mm", [0.7, 1.4, 2.0])
def test_a_nozzle_up_to_two_millimetres_longer_never_meets_the_plate(
    machine: Machine, longer_mm: float
) -> None:
    """Nor where the plate has tilted besides, away from the point read first; the plate itself looks."""
    first = machine.point_named(next_point(machine, level_base(machine), Round()) or "")
    for axis in (None, 0, 1):
        along = {p.name: p.at_mm[axis] if axis is not None else 0.0 for p in machine.point}
        far = max(abs(at - along[first.name]) for at in along.values()) or 1.0
        plate = Plate(
            machine,
            {name: -longer_mm - 0.9 * abs(at - along[first.name]) / far for name, at in along.items()},
        )
        plate.run()
        assert plate.changes[0].kind in ("height", "tilt", "wrong")
