"""The plan as a whole: every block inside the envelope, and what cannot be printed is told."""

from __future__ import annotations

import msgspec
import pytest

from drivers.commands import Draw, Move, Push
from drivers.envelope import Envelope
from drivers.errors import MoveRefused
from profiles.load import load
from wizard.printing.plan import NoPrint, plan, temperatures_c


def planned(machine):
    return plan(machine, *_temperatures(machine))


def _temperatures(machine):
    return temperatures_c(machine)


def test_every_block_passes_an_envelope_that_starts_anywhere_lifted(machine):
    made = planned(machine)
    envelope = Envelope(machine)
    motion = machine.motion
    envelope.has_homed((motion.x_mm[1], motion.y_mm[1], motion.clearance_mm))
    envelope.begin_layer(made.nozzle_c)
    envelope.heard_nozzle(made.nozzle_c)
    for block in made.blocks:
        envelope.admit(block)
        envelope.carried_out(block)
    assert envelope.position_mm()[2] == motion.clearance_mm


def test_plastic_comes_out_at_layer_height_only_and_ways_without_it_are_high(machine):
    z_mm = None
    for block in planned(machine).blocks:
        if isinstance(block, Draw):
            assert z_mm == machine.first_layer.height_mm
        elif isinstance(block, Move):
            if block.x_mm is not None:
                assert z_mm >= machine.motion.clearance_mm
            z_mm = z_mm if block.z_mm is None else block.z_mm


def test_what_is_drawn_back_is_pushed_forward_before_the_next_line(machine):
    back_mm = 0.0
    for block in planned(machine).blocks:
        if isinstance(block, Push):
            back_mm -= block.extrude_mm
        elif isinstance(block, Draw):
            assert back_mm == 0.0
    assert back_mm == machine.print.retract_mm  # so that nothing oozes while it cools


def test_a_pad_is_outlined_first_and_then_filled(machine):
    stroke = planned(machine).strokes[1]
    pad = planned(machine).layout.pads[0]
    assert stroke.corners_mm[:5] == (*pad.corners_mm, pad.corners_mm[0])
    assert len(stroke.corners_mm) == 5 + 2 * pad.lines


def test_a_machine_without_the_section_is_told_what_to_add():
    bare = msgspec.structs.replace(load("four-corner-220"), print=None)
    with pytest.raises(NoPrint, match=r"Add \[print\] with nozzle_mm"):
        plan(bare, 60.0, 205.0)


def test_temperatures_come_from_the_section_else_from_those_of_printing():
    machine = load("four-corner-220")
    assert temperatures_c(machine) == (60.0, 205.0)
    part = msgspec.structs.replace(machine.print, nozzle_c=None, bed_c=None)
    heat = msgspec.structs.replace(machine.heat, print_nozzle_c=230.0, print_bed_c=70.0)
    assert temperatures_c(msgspec.structs.replace(machine, print=part, heat=heat)) == (70.0, 230.0)
    with pytest.raises(NoPrint, match="temperature for the filament"):
        temperatures_c(msgspec.structs.replace(machine, print=part))


@pytest.mark.parametrize("nozzle_c", [20.0, 149.0, 261.0, float("nan"), float("inf")])
def test_a_filament_beyond_the_limits_is_refused(nozzle_c):
    with pytest.raises(MoveRefused, match="for the filament is outside 150 to 260"):
        plan(load("four-corner-220"), 60.0, nozzle_c)


def test_no_room_is_told_and_nothing_is_planned():
    machine = load("four-corner-220")
    part = msgspec.structs.replace(machine.print, margin_mm=100.0)
    narrow = msgspec.structs.replace(machine, print=part, point=machine.point[:1])
    with pytest.raises(NoPrint, match="No point has room"):
        plan(narrow, 60.0, 205.0)
