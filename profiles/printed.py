"""What a profile says of printing a first layer: nozzle, filament, speeds, room on the plate."""

from __future__ import annotations

from profiles.part import Part

Span = tuple[float, float]
"""From and to along one axis, mm, machine coordinates."""


class KeepOut(Part, frozen=True, kw_only=True):
    """A rectangle of the plate where nothing is laid down: a clip, a magnet; machine coordinates."""

    x_mm: Span
    y_mm: Span


class Print(Part, frozen=True, kw_only=True):
    """What a first layer is laid down with: nozzle, filament, temperatures, speeds, room on the plate.

    nozzle_c, bed_c: the filament's own temperatures; None: those of heat.print_nozzle_c and heat.print_bed_c.
    keep_out: places besides a border of `margin_mm` where nothing is laid down. pad_mm: side of one pad.
    """

    nozzle_mm: float
    line_width_mm: float
    filament_mm: float = 1.75
    nozzle_c: float | None = None
    bed_c: float | None = None
    feed_mm_min: float = 1200.0
    retract_mm: float = 1.0
    retract_feed_mm_min: float = 1800.0
    pad_mm: float = 16.0
    margin_mm: float = 5.0
    keep_out: tuple[KeepOut, ...] = ()
