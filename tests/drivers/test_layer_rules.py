"""The rules of a check print, each attacked: alone, whoever planned the block."""

from __future__ import annotations

import math

import msgspec
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from drivers.commands import RELATIVE_FILAMENT, Draw, Move, Push
from drivers.envelope import Envelope
from drivers.errors import MoveRefused
from profiles.load import load

HOT = 205.0
LINE = Draw(x_mm=110.0, y_mm=100.0, extrude_mm=0.36, feed_mm_min=1200.0)
BACK = Push(extrude_mm=-1.0, feed_mm_min=1800.0)
FORWARD = Push(extrude_mm=1.0, feed_mm_min=1800.0)


@pytest.fixture
def machine():
    return load("four-corner-220")


@pytest.fixture
def printing(machine):
    """An envelope in the midst of a check print, the nozzle hot and down at layer height."""
    envelope = Envelope(machine)
    envelope.has_homed((100.0, 100.0, 0.2))
    envelope.begin_layer(HOT)
    envelope.heard_nozzle(HOT)
    envelope.carried_out(RELATIVE_FILAMENT)
    return envelope


def test_a_line_is_laid_down_where_all_is_right(printing):
    printing.admit(LINE)
    printing.carried_out(LINE)
    assert printing.position_mm() == (110.0, 100.0, 0.2)


@pytest.mark.parametrize("command", [LINE, BACK, FORWARD])
def test_filament_is_moved_only_in_a_print_request(machine, printing, command):
    outside = Envelope(machine)
    outside.has_homed((100.0, 100.0, 0.2))
    outside.heard_nozzle(HOT)
    with pytest.raises(MoveRefused, match="only in a check print"):
        outside.admit(command)
    printing.end_layer()
    with pytest.raises(MoveRefused, match="only in a check print"):
        printing.admit(command)


@pytest.mark.parametrize("why", ["it was stopped", "the machine reported an error"])
def test_whatever_takes_the_position_away_ends_the_print(printing, why):
    printing.forget(why)
    with pytest.raises(MoveRefused, match="before homing"):
        printing.admit(LINE)
    printing.has_homed((100.0, 100.0, 0.2))
    with pytest.raises(MoveRefused, match="only in a check print"):
        printing.admit(LINE)


@pytest.mark.parametrize("told_c", [None, 21.0, 150.0, HOT - 10.1, math.nan])
@pytest.mark.parametrize("command", [LINE, BACK])
def test_cold_extrusion_is_refused_and_so_is_one_of_which_nothing_is_known(printing, told_c, command):
    printing.heard_nozzle(told_c)
    with pytest.raises(MoveRefused):
        printing.admit(command)


def test_a_new_print_knows_nothing_of_the_last_ones_heat(printing):
    printing.begin_layer(HOT)
    printing.carried_out(RELATIVE_FILAMENT)
    with pytest.raises(MoveRefused, match="how hot"):
        printing.admit(LINE)


def test_lengths_of_filament_must_be_relative_first(machine):
    envelope = Envelope(machine)
    envelope.has_homed((100.0, 100.0, 0.2))
    envelope.begin_layer(HOT)
    envelope.heard_nozzle(HOT)
    with pytest.raises(MoveRefused, match="relative"):
        envelope.admit(LINE)


@pytest.mark.parametrize("z_mm", [0.0, 0.1, 0.19, 0.21, 0.5, 5.0])
def test_plastic_is_laid_down_at_layer_height_only(printing, z_mm):
    printing.z_mm = z_mm
    with pytest.raises(MoveRefused, match=r"at Z 0\.2 mm"):
        printing.admit(LINE)


@pytest.mark.parametrize("z_mm", [0.19, 0.1, 0.0, -0.5])
def test_a_print_goes_no_lower_than_its_layer_and_never_under_the_floor(printing, z_mm):
    printing.z_mm = 0.3
    with pytest.raises(MoveRefused):
        printing.admit(Move(z_mm=z_mm, feed_mm_min=60.0))


@pytest.mark.parametrize("feed_mm_min", [121.0, 600.0])
def test_the_last_millimetre_is_gone_slowly_in_a_print_too(printing, feed_mm_min):
    printing.z_mm = 0.4
    with pytest.raises(MoveRefused, match="slowly"):
        printing.admit(Move(z_mm=0.2, feed_mm_min=feed_mm_min))
    printing.z_mm = 5.0
    with pytest.raises(MoveRefused, match="slowly"):
        printing.admit(Move(z_mm=0.2, feed_mm_min=60.0))


def test_sideways_without_plastic_stays_high(printing):
    with pytest.raises(MoveRefused, match="clearance height"):
        printing.admit(Move(x_mm=110.0, y_mm=100.0, feed_mm_min=6000.0, rapid=True))


@pytest.mark.parametrize("at", [(2.0, 100.0), (219.0, 100.0), (100.0, 4.0), (110.0, 5.0), (96.0, 11.0)])
def test_the_nozzle_comes_down_neither_at_an_edge_nor_on_a_clip(printing, at):
    printing.x_mm, printing.y_mm, printing.z_mm = *at, 5.0
    with pytest.raises(MoveRefused, match="edge or a clip"):
        printing.admit(Move(z_mm=1.2, feed_mm_min=600.0))


@pytest.mark.parametrize(
    "to", [(221.0, 100.0), (218.0, 100.0), (-1.0, 100.0), (110.0, 5.0), (math.nan, 100.0), (math.inf, 1.0)]
)
def test_a_line_stays_inside_limits_and_border(printing, to):
    with pytest.raises(MoveRefused):
        printing.admit(msgspec.structs.replace(LINE, x_mm=to[0], y_mm=to[1], extrude_mm=0.01))


def test_a_line_that_only_crosses_a_clip_is_refused(printing):
    printing.x_mm, printing.y_mm = 80.0, 8.0
    with pytest.raises(MoveRefused, match="cross a clip"):
        printing.admit(Draw(x_mm=140.0, y_mm=8.0, extrude_mm=2.0, feed_mm_min=1200.0))


@pytest.mark.parametrize("extrude_mm", [0.0, -0.1, 0.75, 100.0, math.nan, math.inf])
def test_a_line_gets_some_plastic_and_at_most_twice_what_it_needs(printing, extrude_mm):
    """10 mm of 0.44 x 0.20 mm need 0.3659 mm of 1.75 mm filament (conservation of volume)."""
    with pytest.raises(MoveRefused, match=r"needs 0\.366 mm"):
        printing.admit(msgspec.structs.replace(LINE, extrude_mm=extrude_mm))


def test_a_line_to_where_the_nozzle_stands_is_a_push_in_disguise(printing):
    with pytest.raises(MoveRefused, match="needs"):
        printing.admit(Draw(x_mm=100.0, y_mm=100.0, extrude_mm=0.5, feed_mm_min=1200.0))


@pytest.mark.parametrize("feed_mm_min", [0.0, -1.0, 1201.0, math.inf, math.nan])
def test_a_line_is_no_faster_than_the_profile_says(printing, feed_mm_min):
    with pytest.raises(MoveRefused, match="no more than 1200"):
        printing.admit(msgspec.structs.replace(LINE, feed_mm_min=feed_mm_min))


def test_filament_is_pushed_forward_by_what_was_drawn_back_and_no_further(printing):
    with pytest.raises(MoveRefused, match="drawn back"):
        printing.admit(FORWARD)
    printing.admit(BACK)
    printing.carried_out(BACK)
    with pytest.raises(MoveRefused, match="drawn back"):
        printing.admit(BACK)
    with pytest.raises(MoveRefused, match="pushed forward first"):
        printing.admit(LINE)
    printing.admit(FORWARD)
    printing.carried_out(FORWARD)
    printing.admit(LINE)
    with pytest.raises(MoveRefused, match="no more than 1800"):
        printing.admit(msgspec.structs.replace(BACK, feed_mm_min=1801.0))


@pytest.mark.parametrize("nozzle_c", [149.9, 260.1, 0.0, -5.0, math.nan, math.inf])
def test_no_print_begins_beyond_the_limits(machine, nozzle_c):
    with pytest.raises(MoveRefused, match="for the filament"):
        Envelope(machine).begin_layer(nozzle_c)


def test_no_print_begins_on_a_machine_of_which_the_extruder_is_not_known(machine):
    with pytest.raises(MoveRefused, match=r"needs \[print\]"):
        Envelope(msgspec.structs.replace(machine, print=None)).begin_layer(HOT)


any_mm = st.floats(-50.0, 270.0) | st.sampled_from([0.0, 100.0, 110.0, math.nan, math.inf])
any_block = st.one_of(
    st.builds(Draw, x_mm=any_mm, y_mm=any_mm, extrude_mm=st.floats(-1, 3), feed_mm_min=st.floats(1, 3000)),
    st.builds(Push, extrude_mm=st.floats(-2, 2), feed_mm_min=st.floats(1, 3000)),
    st.builds(
        Move,
        x_mm=st.none() | any_mm,
        y_mm=st.none() | any_mm,
        z_mm=st.none() | st.floats(-1.0, 6.0),
        feed_mm_min=st.floats(1, 6000),
    ),
)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(blocks=st.lists(any_block, max_size=30), told=st.lists(st.floats(0, 300), min_size=30, max_size=30))
def test_no_made_up_sequence_leaves_room_and_heat(machine, blocks, told):
    """What is admitted of any blocks in any order keeps to floor, limits, room, layer height and heat."""
    envelope = Envelope(machine)
    envelope.has_homed((100.0, 100.0, 5.0))
    envelope.begin_layer(HOT)
    envelope.carried_out(RELATIVE_FILAMENT)
    for block, nozzle_c in zip(blocks, told, strict=False):
        envelope.heard_nozzle(nozzle_c)
        try:
            envelope.admit(block)
        except MoveRefused:
            continue
        envelope.carried_out(block)
        x, y, z = envelope.position_mm()
        assert 0.0 <= x <= 220.0
        assert 0.0 <= y <= 220.0
        assert z >= 0.2 - 0.0005
        if isinstance(block, Draw | Push):
            assert nozzle_c >= HOT - 10.0
        if isinstance(block, Draw):
            assert abs(z - 0.2) <= 0.0005
            assert 5.0 <= x <= 215.0
            assert 5.0 <= y <= 215.0
            assert not (95.0 < x < 125.0 and (y < 12.0 or y > 208.0))
