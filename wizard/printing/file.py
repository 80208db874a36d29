"""A check print as a file for a machine that prints by itself: heat, home, lay down, heaters off. Pure.

Only words that all machines of the field share; one block a line, comments after a semicolon.
"""

from __future__ import annotations

from drivers.commands import ABSOLUTE, MILLIMETRES, Command, Home, SetBed, SetNozzle, encode, number
from drivers.envelope import Envelope
from profiles.faults import printable
from profiles.machine import Machine
from wizard.printing.estimate import estimate
from wizard.printing.plan import Plan


def text_of(machine: Machine, plan: Plan) -> str:
    """Return the whole file. Raises MoveRefused where a temperature is beyond the profile's limits."""
    heats: list[Command] = [SetBed(plan.bed_c), SetNozzle(plan.nozzle_c)]
    off: list[Command] = [SetNozzle(0.0), SetBed(0.0)]
    _admit(machine, [*heats, *off])
    written: list[Command] = [Home(), *plan.blocks, *off]
    lines = [
        *(f"; {line}" for line in _head(machine, plan)),
        *map(encode, [MILLIMETRES, ABSOLUTE, *heats]),
        *_waits(plan),
        *map(encode, written),
    ]
    return "\n".join(lines) + "\n"


def _admit(machine: Machine, heats: list[Command]) -> None:
    envelope = Envelope(machine)
    for each in heats:
        envelope.admit(each)


def _waits(plan: Plan) -> list[str]:
    """Wait for both heaters: once in a file nobody asks for temperatures."""
    bed = [f"M190 S{number(plan.bed_c)}"] if plan.bed_c else []
    return [*bed, f"M109 S{number(plan.nozzle_c)}"]


def _head(machine: Machine, plan: Plan) -> list[str]:
    motion = machine.motion
    takes = estimate(plan.blocks, (motion.x_mm[0], motion.y_mm[0], motion.z_mm[0]))
    without = [f"No room for a pad at: {', '.join(plan.layout.without)}"] if plan.layout.without else []
    lines = [
        f"Check print of a first layer, for: {machine.name}",
        f"Pads at: {', '.join(pad.point for pad in plan.layout.pads)}",
        *without,
        f"Layer {machine.first_layer.height_mm:g} mm, filament {takes.filament_mm:.1f} mm,"
        f" about {takes.seconds / 60.0:.1f} minutes once it is hot",
        "Clear the plate first. Stay with the machine: it gets hot and moves.",
    ]
    return [printable(line).encode("ascii", "replace").decode() for line in lines]
