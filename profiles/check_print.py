"""Can a first layer be laid down as the profile says? Widths, temperatures, room on the plate. Pure."""

from __future__ import annotations

from collections.abc import Iterator

from profiles.faults import Fault, missing, wrong
from profiles.form import item_key
from profiles.machine import Machine
from profiles.printed import Print
from profiles.ranges import ascending, between

WIDTH_OF_BORE = (0.8, 2.0)
"""Line width over bore: about 1.0 to 1.2 is common practice; beyond these plastic cannot be laid down so."""
HEIGHT_OF_BORE = 0.8
"""Layer height over bore: 25 to 75 % is a rule of thumb, some say up to 80 %; not standardised."""
LEAST_NOZZLE_C = 150.0
"""Below it no common filament flows: common practice, no source."""


def faults(machine: Machine) -> Iterator[Fault]:
    """Yield what is wrong with [print]; a profile without it has no check print."""
    if machine.print is None:
        return
    yield from _widths(machine.print, machine.first_layer.height_mm)
    yield from _temperatures(machine.print, machine)
    for nth, place in enumerate(machine.print.keep_out, 1):
        key = item_key("print.keep_out", nth, place)
        yield from ascending(f"{key}.x_mm", place.x_mm)
        yield from ascending(f"{key}.y_mm", place.y_mm)


def _widths(part: Print, height_mm: float) -> Iterator[Fault]:
    low_mm, high_mm = (share * part.nozzle_mm for share in WIDTH_OF_BORE)
    if not low_mm <= part.line_width_mm <= high_mm:
        allowed = f"{low_mm:g} to {high_mm:g} mm, as the bore is {part.nozzle_mm:g} mm"
        yield wrong("print.line_width_mm", part.line_width_mm, allowed)
    if height_mm > HEIGHT_OF_BORE * part.nozzle_mm:
        allowed = f"a bore to which the first layer of {height_mm:g} mm is no more than {HEIGHT_OF_BORE:.0%}"
        yield wrong("print.nozzle_mm", part.nozzle_mm, allowed)


def _temperatures(part: Print, machine: Machine) -> Iterator[Fault]:
    heat = machine.heat
    if part.nozzle_c is None and heat.print_nozzle_c is None:
        yield missing("print.nozzle_c", "the nozzle's temperature for the filament, as its maker says")
    most_c = heat.max_nozzle_c
    unit = "degrees C (heat.max_nozzle_c)"
    yield from between("print.nozzle_c", part.nozzle_c, LEAST_NOZZLE_C, most_c, unit)
    yield from between("print.bed_c", part.bed_c, 0, heat.max_bed_c, "degrees C (heat.max_bed_c)")
