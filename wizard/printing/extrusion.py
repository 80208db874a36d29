"""How much filament a line takes, by volume: what goes in comes out. Pure geometry, mm.

A line counts as a rectangle, width times height. Lines of a pad stand so far apart that each, pressed to
the wanted gap, just meets its neighbour: a gap that is too wide leaves them apart, one that is too narrow
presses them over each other. So the pad itself shows how far the gap is off.
"""

from __future__ import annotations

from math import pi, sqrt

from profiles.machine import FirstLayer
from profiles.printed import Print


def filament_area_mm2(part: Print) -> float:
    """Return the section of the filament."""
    return pi * part.filament_mm**2 / 4.0


def line_area_mm2(part: Print, layer: FirstLayer) -> float:
    """Return the section of a line as it is planned, width times layer height."""
    return part.line_width_mm * layer.height_mm


def filament_mm(part: Print, layer: FirstLayer, length_mm: float) -> float:
    """Return how much filament a line of some length takes."""
    return line_area_mm2(part, layer) * length_mm / filament_area_mm2(part)


def spacing_mm(part: Print, layer: FirstLayer) -> float:
    """Return how far apart lines stand whose sides meet where the gap is the wanted one."""
    return line_area_mm2(part, layer) / layer.gap_mm


def strand_mm(part: Print, layer: FirstLayer) -> float:
    """Return how thick a strand is that nothing presses: a circle of the line's section."""
    return 2.0 * sqrt(line_area_mm2(part, layer) / pi)
