"""How long blocks take: way over feed, with no time for speeding up. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from math import dist

from drivers.commands import Command, Draw, Move, Push

XYZ = tuple[float, float, float]


def seconds_each(blocks: Iterable[Command], start_mm: XYZ) -> list[float]:
    """Return how long each block takes from `start_mm` on; 0 for what moves nothing."""
    here, times = start_mm, []
    for block in blocks:
        there = after(here, block)
        times.append(_seconds(block, dist(here, there)))
        here = there
    return times


def after(here_mm: XYZ, block: Command) -> XYZ:
    """Return where the nozzle stands once `block` is done."""
    if isinstance(block, Draw):
        return block.x_mm, block.y_mm, here_mm[2]
    if not isinstance(block, Move):
        return here_mm
    wanted = (block.x_mm, block.y_mm, block.z_mm)
    x, y, z = (old if new is None else new for old, new in zip(here_mm, wanted, strict=True))
    return x, y, z


def _seconds(block: Command, way_mm: float) -> float:
    if isinstance(block, Push):
        way_mm = abs(block.extrude_mm)
    return 60.0 * way_mm / block.feed_mm_min if isinstance(block, Draw | Move | Push) else 0.0
