"""The envelope alone: each rule on each single block, whoever planned it."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from drivers.commands import Home, Move, SetBed, SetNozzle, Template
from drivers.envelope import SLOW_MM, STEP_MM, Envelope
from drivers.errors import MoveRefused

FEED = 600.0


@pytest.fixture
def at_point(machine):
    """An envelope that is homed, with the nozzle over the first point at 2 mm."""
    envelope = Envelope(machine)
    envelope.has_homed((30.0, 30.0, 2.0))
    return envelope


@pytest.mark.parametrize(
    "move", [Move(z_mm=10.0, feed_mm_min=FEED), Move(x_mm=1.0, y_mm=1.0, feed_mm_min=FEED)]
)
def test_rule_1_no_block_moves_an_unhomed_machine(machine, move):
    with pytest.raises(MoveRefused, match="before homing"):
        Envelope(machine).admit(move)


@pytest.mark.parametrize("block", ["M84", "M18", "M18 X", "m84"])
def test_rule_1_motors_off_by_a_template_takes_the_homing_away(at_point, block):
    at_point.carried_out(Template(block))
    with pytest.raises(MoveRefused, match="motors"):
        at_point.admit(Move(z_mm=10.0, feed_mm_min=FEED))


def test_rule_2_sideways_is_refused_below_clearance_and_at_unknown_height(at_point):
    sideways = Move(x_mm=190.0, y_mm=30.0, feed_mm_min=FEED)
    with pytest.raises(MoveRefused, match="clearance height of 5 mm"):
        at_point.admit(sideways)
    at_point.carried_out(Move(z_mm=5.0, feed_mm_min=FEED))
    at_point.admit(sideways)
    at_point.has_homed(None)
    with pytest.raises(MoveRefused, match="clearance height of 5 mm"):
        at_point.admit(sideways)


def test_rule_2_a_move_is_not_sideways_and_down_at_once(at_point):
    at_point.carried_out(Move(z_mm=5.0, feed_mm_min=FEED))
    with pytest.raises(MoveRefused, match="at the same time"):
        at_point.admit(Move(x_mm=190.0, y_mm=30.0, z_mm=5.0, feed_mm_min=FEED))


@pytest.mark.parametrize(
    "move",
    [
        Move(x_mm=-0.001, feed_mm_min=FEED),
        Move(x_mm=220.1, feed_mm_min=FEED),
        Move(y_mm=220.1, feed_mm_min=FEED),
        Move(y_mm=-1.0, feed_mm_min=FEED),
        Move(z_mm=240.1, feed_mm_min=FEED),
        Move(z_mm=-0.001, feed_mm_min=FEED),
        Move(z_mm=math.nan, feed_mm_min=FEED),
        Move(x_mm=math.inf, feed_mm_min=FEED),
    ],
)
def test_rule_3_nothing_outside_the_limits(machine, move):
    envelope = Envelope(machine)
    envelope.has_homed((30.0, 30.0, 5.0))
    with pytest.raises(MoveRefused, match="outside the profile"):
        envelope.admit(move)


def test_rule_4_down_only_over_a_point(machine):
    envelope = Envelope(machine)
    envelope.has_homed((31.0, 30.0, 5.0))
    with pytest.raises(MoveRefused, match="only over one of the profile's points"):
        envelope.admit(Move(z_mm=4.0, feed_mm_min=FEED))
    envelope.has_homed(None)
    with pytest.raises(MoveRefused, match="height is not known"):
        envelope.admit(Move(z_mm=4.0, feed_mm_min=FEED))


def test_rule_4_the_last_millimetre_is_refused_in_one_go_or_at_speed(at_point):
    with pytest.raises(MoveRefused, match="slowly"):
        at_point.admit(Move(z_mm=1.0, feed_mm_min=120.0))
    at_point.carried_out(Move(z_mm=1.2, feed_mm_min=FEED))
    with pytest.raises(MoveRefused, match="slowly"):
        at_point.admit(Move(z_mm=1.0, feed_mm_min=FEED))
    at_point.admit(Move(z_mm=1.0, feed_mm_min=120.0))


@given(start=st.floats(0.0, 200.0), end=st.floats(0.0, 200.0))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
def test_rule_4_every_planned_way_to_a_height_is_admitted_and_ends_downwards(machine, start, end):
    envelope = Envelope(machine)
    envelope.has_homed((30.0, 30.0, start))
    moves = envelope.plan_lower(end)
    for move in moves:
        envelope.admit(move)
        envelope.carried_out(move)
    assert envelope.z_mm == pytest.approx(end, abs=0.001)
    heights = [start, *(move.z_mm for move in moves)]
    if moves:
        assert heights[-2] > heights[-1]
    for above, below in itertools.pairwise(heights):
        if below < min(above, end + SLOW_MM - 0.001):
            assert above - below <= STEP_MM + 0.001


@pytest.mark.parametrize("command", [SetBed(110.1), SetBed(-1.0), SetNozzle(260.1), SetNozzle(math.nan)])
def test_rule_7_temperatures_outside_the_limits_are_refused(machine, command):
    with pytest.raises(MoveRefused, match="outside the profile"):
        Envelope(machine).admit(command)


def test_heating_and_homing_are_allowed_at_once(machine):
    for command in (SetBed(110.0), SetNozzle(260.0), Home()):
        Envelope(machine).admit(command)
