"""Temperatures of printing: can they be, and do they leave a gap to measure by? Pure."""

from __future__ import annotations

from collections.abc import Iterator

from profiles.faults import Fault, wrong
from profiles.machine import Machine
from profiles.ranges import between


def faults(machine: Machine) -> Iterator[Fault]:
    """Yield what is wrong with the temperatures of printing."""
    heat = machine.heat
    yield from between("heat.print_bed_c", heat.print_bed_c, 0, heat.max_bed_c, "degrees C (heat.max_bed_c)")
    most_c = heat.max_nozzle_c
    yield from between("heat.print_nozzle_c", heat.print_nozzle_c, 0, most_c, "degrees C (heat.max_nozzle_c)")
    if machine.wanted_gap_mm <= machine.first_layer.tolerance_mm < machine.first_layer.gap_mm:
        allowed = (
            "printing temperatures by which the gap does not open so far that none is left to measure by"
        )
        yield wrong("heat.print_nozzle_c", heat.print_nozzle_c, allowed)
