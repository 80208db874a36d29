"""Strokes -> blocks, each admitted by the safety envelope as it will be on the line. Pure.

The filament is drawn back before each way without plastic, and pushed forward once the nozzle is down.
"""

from __future__ import annotations

from itertools import pairwise
from math import dist

import msgspec

from drivers.commands import RELATIVE_FILAMENT, Command, Draw, Push
from drivers.envelope import Envelope
from profiles.machine import XY, Machine
from profiles.printed import Print
from wizard.printing.extrusion import filament_mm
from wizard.printing.pads import Layout, layout
from wizard.printing.strokes import Stroke, pad_stroke, purge_stroke


class NoPrint(Exception):
    """There can be no check print; the text is one sentence that says why and what to do."""


class Plan(msgspec.Struct, frozen=True):
    """A check print: what is laid down, and the blocks from clearance height back to it.

    Before the first block the nozzle must be hot, and the machine homed and lifted.
    """

    layout: Layout
    strokes: tuple[Stroke, ...]
    blocks: tuple[Command, ...]
    nozzle_c: float
    bed_c: float


def temperatures_c(machine: Machine) -> tuple[float, float]:
    """Return the filament's temperatures by the profile: plate (0: not heated), nozzle. Raises NoPrint."""
    part = _part(machine)
    nozzle_c = machine.heat.print_nozzle_c if part.nozzle_c is None else part.nozzle_c
    bed_c = machine.heat.print_bed_c if part.bed_c is None else part.bed_c
    if nozzle_c is None:
        raise NoPrint("The profile gives no temperature for the filament: set nozzle_c under [print].")
    return (machine.heat.bed_c if bed_c is None else bed_c), nozzle_c


def plan(machine: Machine, bed_c: float, nozzle_c: float) -> Plan:
    """Return the check print of a machine.

    Raises NoPrint where the profile has no [print], or no pad has room; MoveRefused (the envelope's) where
    a block is not allowed.
    """
    _part(machine)
    found = layout(machine)
    purge = purge_stroke(machine, found.pads)
    if not found.pads:
        raise NoPrint("No point has room for a pad: look at [print] margin_mm, pad_mm and keep_out.")
    if purge is None:
        raise NoPrint("No edge has room to fill the nozzle: look at [print] margin_mm and keep_out.")
    strokes = (purge, *(pad_stroke(machine, pad) for pad in found.pads))
    return Plan(found, strokes, _blocks(machine, strokes, nozzle_c), nozzle_c, bed_c)


def _part(machine: Machine) -> Print:
    if machine.print is None:
        raise NoPrint(
            "The profile says nothing of nozzle and filament. Add [print] with nozzle_mm, line_width_mm,"
            " filament_mm, nozzle_c and bed_c; a file made by `tramwright profiles new` has it to copy from."
        )
    return machine.print


class _Writer:
    """Collects blocks; each is admitted and counted as carried out before the next is made."""

    def __init__(self, machine: Machine, nozzle_c: float) -> None:
        self.blocks: list[Command] = []
        self._envelope = Envelope(machine)
        self._envelope.has_homed((machine.motion.x_mm[0], machine.motion.y_mm[0], machine.motion.z_mm[0]))
        self._envelope.begin_layer(nozzle_c)
        self._envelope.heard_nozzle(nozzle_c)

    def add(self, *commands: Command) -> None:
        for command in commands:
            self._envelope.admit(command)
            self._envelope.carried_out(command)
            self.blocks.append(command)

    def begin_line(self, at_mm: XY) -> None:
        self.add(*self._envelope.plan_begin_line(at_mm))

    def lift(self) -> None:
        self.add(*self._envelope.plan_lift())


def _blocks(machine: Machine, strokes: tuple[Stroke, ...], nozzle_c: float) -> tuple[Command, ...]:
    part = _part(machine)
    back = Push(extrude_mm=-part.retract_mm, feed_mm_min=part.retract_feed_mm_min)
    forward = Push(extrude_mm=part.retract_mm, feed_mm_min=part.retract_feed_mm_min)
    writer = _Writer(machine, nozzle_c)
    writer.lift()
    writer.add(RELATIVE_FILAMENT)
    for nth, stroke in enumerate(strokes):
        writer.begin_line(stroke.corners_mm[0])
        if nth and part.retract_mm:
            writer.add(forward)
        writer.add(*_lines(machine, part, stroke))
        if part.retract_mm:
            writer.add(back)
        writer.lift()
    return tuple(writer.blocks)


def _lines(machine: Machine, part: Print, stroke: Stroke) -> list[Draw]:
    """Return the lines of a stroke. Corners are on whole micrometres, as they are written."""
    corners = [(round(x, 3), round(y, 3)) for x, y in stroke.corners_mm]
    return [
        Draw(
            x_mm=end[0],
            y_mm=end[1],
            extrude_mm=stroke.flow * filament_mm(part, machine.first_layer, dist(start, end)),
            feed_mm_min=part.feed_mm_min,
        )
        for start, end in pairwise(corners)
    ]
