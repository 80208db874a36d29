"""Whatever the geometry and the readings, solving gives a finding with finite figures, never an exception."""

from __future__ import annotations

import math

import msgspec
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from profiles.machine import Adjuster, Bed, FirstLayer, Gauge, Height, Machine, Motion, Point
from wizard.rounds import Reading, Round
from wizard.solver import expect, solve

wild = st.floats(allow_nan=True, allow_infinity=True)
near = st.sampled_from([0.0, 30.0, 30.0, 110.0, 190.0]) | st.floats(0.0, 220.0)
place = st.tuples(near, near) | st.tuples(wild, wild)
gap = st.floats(-1.0, 3.0) | wild | st.none()
turns = st.sampled_from([0.0, 0.25, -0.5, 1.0]) | wild
travel = st.sampled_from([(-4.0, 4.0), (0.0, 0.0), (0.0, 3.0), (-0.25, 0.25)]) | st.tuples(wild, wild)

adjusters = st.builds(
    Adjuster,
    name=st.sampled_from("abcdefgh"),
    at_mm=place,
    kind=st.sampled_from(["screw", "shim", "motor", "fixed"]),
    thread=st.sampled_from(["M3", "M4", None, "M99"]),
    mm_per_turn=st.none() | st.just(0.5) | wild,
    clockwise=st.sampled_from(["raises", "lowers", "unknown"]),
    step_turns=st.sampled_from([0.0625, 1.0]) | wild,
    travel_turns=travel,
)
machines = st.builds(
    Machine,
    name=st.just("any"),
    bed=st.builds(
        Bed,
        shape=st.sampled_from(["rectangle", "round"]),
        size_mm=st.none() | st.just((220.0, 220.0)) | st.tuples(wild, wild),
        diameter_mm=st.none() | wild,
        mount=st.sampled_from(["held", "floating", "unknown"]),
    ),
    motion=st.just(Motion(x_mm=(0, 220), y_mm=(0, 220), z_mm=(0, 240))),
    first_layer=st.just(FirstLayer(height_mm=0.2, gap_mm=0.15, tolerance_mm=0.05))
    | st.builds(FirstLayer, height_mm=wild, gap_mm=wild, tolerance_mm=wild),
    height=st.builds(Height, by=st.sampled_from(["bed adjusters", "stored offset", "operator"])),
    gauge=st.builds(Gauge, leaves_mm=st.lists(wild, max_size=3).map(tuple)),
    adjuster=st.lists(adjusters, max_size=8).map(tuple),
    point=st.lists(st.builds(Point, name=st.sampled_from("pqrstuvwx"), at_mm=place), max_size=9).map(tuple),
)
readings = st.builds(
    Reading, low_mm=gap, high_mm=gap, how=st.sampled_from(["leaf", "feel", "probe", "given"])
)
rounds = st.lists(
    st.builds(
        Round,
        readings=st.dictionaries(st.sampled_from("pqrstuvwxyz"), readings, max_size=9),
        turned=st.dictionaries(st.sampled_from("abcdefghz"), turns, max_size=4),
        height_change_mm=st.just(0.0) | wild,
    ),
    max_size=4,
)


def _finite(value: object) -> bool:
    if isinstance(value, float):
        return math.isfinite(value)
    if isinstance(value, dict):
        return all(_finite(v) for v in value.values())
    if isinstance(value, list):
        return all(_finite(v) for v in value)
    return True


@settings(max_examples=150, deadline=None)
@given(machines, rounds)
def test_any_input_gives_a_finding_with_finite_figures(machine: Machine, given_rounds: list[Round]):
    finding = solve(machine, given_rounds)
    assert _finite(msgspec.to_builtins(finding))
    assert all(math.isfinite(g) and u >= 0.0 for g, u in expect(machine, given_rounds).values())


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.sampled_from(["bed adjusters", "stored offset", "endstop screw"]),
    st.lists(st.floats(0.08, 0.22), min_size=4, max_size=4),
    st.sampled_from([0.004, 0.01, 0.02, 0.04]),
    st.sampled_from([0.0625, 0.0125]),
)
def test_what_is_within_has_nothing_left_to_turn(machine, by, gaps, width, step):
    corners = ((30.0, 30.0), (190.0, 30.0), (190.0, 190.0), (30.0, 190.0))
    screws = tuple(
        Adjuster(name=f"a{i}", at_mm=at, thread="M3", step_turns=step) for i, at in enumerate(corners)
    )
    points = tuple(Point(name=f"p{i}", at_mm=at) for i, at in enumerate(corners))
    given_machine = machine(height=Height(by=by), adjuster=screws, point=points)
    brackets = {
        p.name: Reading(g - width / 2, g + width / 2, "feel") for p, g in zip(points, gaps, strict=True)
    }
    finding = solve(given_machine, [Round(brackets)])
    assert (finding.verdict == "within") == (finding.status == "level")
    if finding.status == "level":
        assert finding.turns == {}
        assert not finding.height_change_mm
    if finding.status == "turn":
        assert finding.turns or finding.height_change_mm


def test_readings_that_contradict_each_other_over_and_over_give_a_finding(machine):
    """Open and closed brackets that miss each other, height changed between: once no square root was had."""
    given_rounds = [
        Round(
            {
                "front left": Reading(None, -0.1615589372836967),
                "front right": Reading(-0.1315837740347654, -0.0815837740347654),
                "back right": Reading(-0.052019478038439426, None),
                "back left": Reading(-0.28082862798832375, -0.28082862798832375),
            },
            {"back right": 0.0707993826355513},
            0.41081663700129334,
        ),
        Round(
            {
                "front left": Reading(None, 0.23026825372025445),
                "front right": Reading(0.0356927029216319, 0.0356927029216319),
                "back right": Reading(None, -0.18585909075106716),
                "back left": Reading(0.01377087218289641, 0.06377087218289641),
            },
            {"front left": 0.3781859841045996, "back left": -0.6233250091435012},
        ),
        Round(
            {
                "front right": Reading(0.12128765508947353, None),
                "back right": Reading(0.018269021607259628, None),
                "back left": Reading(None, 0.05772550539369492),
            }
        ),
    ]
    for count in (1, 2, 3):
        assert solve(machine(), given_rounds[:count]).status in ("turn", "measure-again", "inconsistent")


@settings(max_examples=100, deadline=None)
@given(machines, rounds)
def test_turns_stay_inside_the_travel_that_is_left(machine: Machine, given_rounds: list[Round]):
    by_name = {a.name: a for a in reversed(machine.adjuster)}
    for name, turn in solve(machine, given_rounds).turns.items():
        made = sum(r.turned.get(name, 0.0) for r in given_rounds)
        if math.isfinite(made) and abs(made) < 100.0:
            low, high = sorted(by_name[name].travel_turns)
            assert min(low, made) - 1e-6 <= made + turn <= max(high, made) + 1e-6
