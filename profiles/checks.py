"""Is a machine sane? What types alone cannot tell: sizes, limits, and how the parts fit together. Pure.

Numbers by themselves have their ranges in `profiles.keys`; here is how numbers fit together.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from profiles import check_heat, check_print, check_proof, check_supports, check_templates, keys
from profiles.faults import Fault, missing, unwanted, wrong
from profiles.machine import Bed, Gauge, Heat, Machine, Motion
from profiles.ranges import ascending, between, name_faults

CLEAR_OVER_MEASURING_MM = 3.0
"""The nozzle goes sideways over plates that nobody has levelled: two millimetres from corner to corner are
ordinary, a bow comes on top (common practice, no source)."""


def faults(machine: Machine) -> Iterator[Fault]:
    """Yield what is wrong with a machine whose form is right, in the order of a profile."""
    yield from name_faults("name", machine.name)
    yield from keys.faults(machine)
    yield from _bed(machine.bed)
    yield from _motion(machine.motion)
    yield from _first_layer(machine)
    yield from _heights(machine)
    yield from _heat(machine.heat)
    yield from _gauge(machine.gauge, machine)
    yield from check_heat.faults(machine)
    yield from check_supports.faults(machine)
    yield from check_templates.faults(machine)
    yield from check_proof.faults(machine)
    yield from check_print.faults(machine)


def _bed(bed: Bed) -> Iterator[Fault]:
    if bed.shape == "round":
        yield from _only("bed.diameter_mm", bed.diameter_mm, "bed.size_mm", bed.size_mm, "a round bed")
    else:
        yield from _only("bed.size_mm", bed.size_mm, "bed.diameter_mm", bed.diameter_mm, "a rectangular bed")
    yield from name_faults("bed.material", bed.material)


def _only(key: str, value: object, other_key: str, other: object, of: str) -> Iterator[Fault]:
    if value is None:
        yield missing(key, f"given for {of}")
    if other is not None:
        yield unwanted(other_key, other, f"{of} is described by {key}")


def _motion(motion: Motion) -> Iterator[Fault]:
    for axis, limits in (("x", motion.x_mm), ("y", motion.y_mm), ("z", motion.z_mm)):
        yield from ascending(f"motion.{axis}_mm", limits)


def _first_layer(machine: Machine) -> Iterator[Fault]:
    layer = machine.first_layer
    if not 0.01 <= layer.gap_mm <= layer.height_mm:
        allowed = (
            f"0.01 mm to the layer height {layer.height_mm:g} mm (three quarters of it is common practice)"
        )
        yield wrong("first_layer.gap_mm", layer.gap_mm, allowed)
    if not 0.005 <= layer.tolerance_mm < layer.gap_mm:
        allowed = f"0.005 mm to less than the gap {layer.gap_mm:g} mm, or the nozzle may touch"
        yield wrong("first_layer.tolerance_mm", layer.tolerance_mm, allowed)


def _heights(machine: Machine) -> Iterator[Fault]:
    floor_mm, top_mm = machine.motion.z_mm
    measuring_mm = machine.measuring_height_mm
    stated = machine.first_layer.measuring_height_mm is not None
    if not floor_mm <= measuring_mm <= floor_mm + 10:
        key = "first_layer.measuring_height_mm" if stated else "first_layer.height_mm"
        allowed = f"{floor_mm:g} (the floor, motion.z_mm[1]) to {floor_mm + 10:g} mm"
        yield wrong(key, measuring_mm, allowed + ("" if stated else ", as gaps are measured there"))
    lowest_mm = measuring_mm + CLEAR_OVER_MEASURING_MM
    if not lowest_mm <= machine.motion.clearance_mm <= top_mm:
        allowed = (
            f"{lowest_mm:g} (3 mm over the measuring height, as a plate may be tilted)"
            f" to {top_mm:g} mm (the top, motion.z_mm[2])"
        )
        yield wrong("motion.clearance_mm", machine.motion.clearance_mm, allowed)


def _heat(heat: Heat) -> Iterator[Fault]:
    yield from between("heat.bed_c", heat.bed_c, 0, heat.max_bed_c, "degrees C (heat.max_bed_c)")
    yield from between("heat.nozzle_c", heat.nozzle_c, 0, heat.max_nozzle_c, "degrees C (heat.max_nozzle_c)")


def _gauge(gauge: Gauge, machine: Machine) -> Iterator[Fault]:
    leaves_mm = gauge.leaves_mm
    if any(later <= earlier for earlier, later in pairwise(leaves_mm)):
        yield wrong("gauge.leaves_mm", leaves_mm, "ascending, each leaf once")
    yield from _told_twice(gauge)
    if gauge.card_mm is None and machine.probe is None:
        yield from _leaves_reach(leaves_mm, machine.wanted_gap_mm)


def _told_twice(gauge: Gauge) -> Iterator[Fault]:
    """Leaves or card in mm and in thousandths of an inch, and not the same."""
    same = Gauge(leaves_thou=gauge.leaves_thou, card_thou=gauge.card_thou)
    if gauge.leaves_thou and gauge.leaves_mm != same.leaves_mm:
        yield unwanted("gauge.leaves_thou", gauge.leaves_thou, "leaves_mm tells the leaves already")
    if gauge.card_thou is not None and gauge.card_mm != same.card_mm:
        yield unwanted("gauge.card_thou", gauge.card_thou, "card_mm tells it already")


def _leaves_reach(leaves_mm: tuple[float, ...], gap_mm: float) -> Iterator[Fault]:
    if not leaves_mm:
        yield missing("gauge", "leaves_mm or card_mm, as this machine cannot touch by itself")
    elif not min(leaves_mm) <= gap_mm <= max(leaves_mm):
        yield wrong("gauge.leaves_mm", leaves_mm, f"leaves on both sides of the gap {gap_mm:.3g} mm")
