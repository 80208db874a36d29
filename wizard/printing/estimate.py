"""What a check print takes: time, filament, room. Pure arithmetic on its blocks."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import msgspec

from drivers.commands import Command, Draw
from drivers.durations import XYZ, after, seconds_each


class Box(msgspec.Struct, frozen=True):
    """The least and the greatest coordinates at which plastic is laid down, mm."""

    low_mm: XYZ
    high_mm: XYZ


class Estimate(msgspec.Struct, frozen=True):
    """seconds: at the stated feeds, without speeding up and heating. filament_mm: what stays on the plate."""

    seconds: float
    filament_mm: float
    box: Box


def estimate(blocks: Sequence[Command], start_mm: XYZ) -> Estimate:
    """Return what blocks take that lay at least one line down."""
    filament_mm = sum(block.extrude_mm for block in blocks if isinstance(block, Draw))
    return Estimate(sum(seconds_each(blocks, start_mm)), filament_mm, _box(blocks, start_mm))


def _box(blocks: Iterable[Command], start_mm: XYZ) -> Box:
    here, ends = start_mm, []
    for block in blocks:
        there = after(here, block)
        ends += [here, there] if isinstance(block, Draw) else []
        here = there
    xs, ys, zs = zip(*ends, strict=True)
    return Box((min(xs), min(ys), min(zs)), (max(xs), max(ys), max(zs)))
