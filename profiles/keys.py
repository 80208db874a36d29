"""What each key of a profile is, and the numbers it may have: the one source of comments, ranges and schema.

A key is told by its type and field, as in "Bed.size_mm"; a range holds for each number of a list. Every
bound is there to catch a slip of units or sign; those without a source are common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from profiles.faults import Fault, below
from profiles.form import item_key
from profiles.key_words import ABOUT
from profiles.machine import Machine
from profiles.ranges import between


class Range(msgspec.Struct, frozen=True):
    """Least and greatest number allowed, both included, and their unit."""

    low: float
    high: float
    unit: str


RANGES: dict[str, Range] = {
    "Bed.size_mm": Range(20, 2000, "mm"),
    "Bed.diameter_mm": Range(20, 2000, "mm"),
    "Bed.origin_mm": Range(-2000, 2000, "mm"),
    "Bed.thickness_mm": Range(0.1, 50, "mm"),
    "Motion.baud": Range(1200, 4_000_000, "baud"),
    "Motion.x_mm": Range(-2000, 2000, "mm"),
    "Motion.y_mm": Range(-2000, 2000, "mm"),
    "Motion.z_mm": Range(-2000, 2000, "mm"),
    "Motion.travel_feed_mm_min": Range(60, 60_000, "mm/min"),
    "Motion.lift_feed_mm_min": Range(10, 6000, "mm/min"),
    "FirstLayer.height_mm": Range(0.02, 2, "mm"),
    "Heat.max_bed_c": Range(0, 200, "degrees C"),
    "Heat.max_nozzle_c": Range(0, 500, "degrees C"),
    "Heat.hot_length_mm": Range(0, 100, "mm"),
    "Heat.hot_expansion_ppm_per_k": Range(0.1, 60, "1e-6 per kelvin"),
    "Heat.soak_min": Range(0, 240, "minutes"),
    "Gauge.leaves_mm": Range(0.01, 5, "mm"),
    "Gauge.leaves_thou": Range(0.4, 200, "thousandths of an inch"),
    "Gauge.card_thou": Range(0.8, 80, "thousandths of an inch"),
    "Gauge.card_mm": Range(0.02, 2, "mm"),
    "Thread.threads_per_inch": Range(4, 200, "threads per inch"),
    "Adjuster.threads_per_inch": Range(4, 200, "threads per inch"),
    "Thread.mm_per_turn": Range(0.005, 20, "mm"),
    "Adjuster.mm_per_turn": Range(0.005, 20, "mm"),
    "Probe.repeatability_limit_mm": Range(0.0005, 0.5, "mm"),
    "Compensation.grid": Range(2, 50, "points"),
    "Compensation.fade_height_mm": Range(0.1, 100, "mm"),
    "Print.nozzle_mm": Range(0.1, 2, "mm"),
    "Print.line_width_mm": Range(0.1, 3, "mm"),
    "Print.filament_mm": Range(1, 4, "mm"),
    "Print.feed_mm_min": Range(60, 12_000, "mm/min"),
    "Print.retract_mm": Range(0, 15, "mm"),
    "Print.retract_feed_mm_min": Range(60, 12_000, "mm/min"),
    "Print.pad_mm": Range(8, 40, "mm"),
    "Print.margin_mm": Range(0, 100, "mm"),
    "KeepOut.x_mm": Range(-2000, 2000, "mm"),
    "KeepOut.y_mm": Range(-2000, 2000, "mm"),
}


def about(owner: type[msgspec.Struct], field: str) -> str:
    """Return what a key is, in a few words; "" where nothing is written of it."""
    for each in owner.__mro__:
        if text := ABOUT.get(f"{each.__name__}.{field}"):
            return text
    return ""


def range_of(owner: type[msgspec.Struct], field: str) -> Range | None:
    """Return the numbers a key may have, None where only its type limits it."""
    return RANGES.get(f"{owner.__name__}.{field}")


def faults(machine: Machine) -> Iterator[Fault]:
    """Yield each number of a machine that lies outside its key's range, in the order of a profile."""
    yield from _part("", machine)


def _part(key: str, part: msgspec.Struct) -> Iterator[Fault]:
    for field in part.__struct_fields__:
        where, value = below(key, field), getattr(part, field)
        if isinstance(value, msgspec.Struct):
            yield from _part(where, value)
        elif isinstance(value, tuple) and value and isinstance(value[0], msgspec.Struct):
            for nth, item in enumerate(value, 1):
                yield from _part(item_key(where, nth, item), item)
        elif allowed := range_of(type(part), field):
            yield from _numbers(where, value, allowed)


def _numbers(key: str, value: object, allowed: Range) -> Iterator[Fault]:
    if isinstance(value, tuple):
        for nth, each in enumerate(value, 1):
            yield from between(f"{key}[{nth}]", each, allowed.low, allowed.high, allowed.unit)
    elif isinstance(value, int | float):
        yield from between(key, value, allowed.low, allowed.high, allowed.unit)
