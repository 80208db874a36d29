"""What a check print takes: time, filament, room. Pure arithmetic on its blocks."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import dist

import msgspec

from drivers.commands import Command, Draw, Move, Push

XYZ = tuple[float, float, float]


class Box(msgspec.Struct, frozen=True):
    """The least and the greatest coordinates at which plastic is laid down, mm."""

    low_mm: XYZ
    high_mm: XYZ


class Estimate(msgspec.Struct, frozen=True):
    """seconds: at the stated feeds, without speeding up and heating. filament_mm: what stays on the plate."""

    seconds: float
    filament_mm: float
    box: Box


def seconds_each(blocks: Iterable[Command], start_mm: XYZ) -> list[float]:
    """Return how long each block takes: way over feed, with no time for speeding up."""
    here, times = start_mm, []
    for block in blocks:
        there = _after(here, block)
        times.append(_seconds(block, dist(here, there)))
        here = there
    return times


def estimate(blocks: Sequence[Command], start_mm: XYZ) -> Estimate:
    """Return what blocks take that lay at least one line down."""
    filament_mm = sum(block.extrude_mm for block in blocks if isinstance(block, Draw))
    return Estimate(sum(seconds_each(blocks, start_mm)), filament_mm, _box(blocks, start_mm))


def _box(blocks: Iterable[Command], start_mm: XYZ) -> Box:
    here, ends = start_mm, []
    for block in blocks:
        there = _after(here, block)
        ends += [here, there] if isinstance(block, Draw) else []
        here = there
    xs, ys, zs = zip(*ends, strict=True)
    return Box((min(xs), min(ys), min(zs)), (max(xs), max(ys), max(zs)))


def _after(here: XYZ, block: Command) -> XYZ:
    if isinstance(block, Draw):
        return block.x_mm, block.y_mm, here[2]
    if not isinstance(block, Move):
        return here
    x, y, z = (
        old if new is None else new
        for old, new in zip(here, (block.x_mm, block.y_mm, block.z_mm), strict=True)
    )
    return x, y, z


def _seconds(block: Command, way_mm: float) -> float:
    if isinstance(block, Push):
        way_mm = abs(block.extrude_mm)
    return 60.0 * way_mm / block.feed_mm_min if isinstance(block, Draw | Move | Push) else 0.0
