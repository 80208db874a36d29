"""On the map: which way a plate on three supports tips by the turn to be made now. Pure.

A dotted line stays where it is; "up" and "down" stand at the plate's corners on either side of it.
"""

from __future__ import annotations

from collections.abc import Callable

from profiles.machine import XY, Machine
from profiles.threads import raise_per_clockwise_turn_mm
from profiles.tipping import Tipping, tipping
from wizard.widgets.canvas import Canvas
from wizard.widgets.marks import Marks
from wizard.widgets.scene import Scene

Cell = Callable[[XY], tuple[int, int]]
Fits = Callable[[int, int, int], bool]
"""Whether a column, a row and a length have room, with a blank on either side."""

STEPS = 80


def draw_tipping(scene: Scene, canvas: Canvas, cell: Cell, fits: Fits, marks: Marks) -> None:
    """Draw it where there is room; nothing where no turn is to be made, or not on three supports."""
    turns = scene.turns.get(scene.turning or "", 0.0)
    tips = tipping(scene.machine, scene.turning)
    if tips is None or not turns or scene.turning is None:
        return
    each_mm = raise_per_clockwise_turn_mm(scene.machine.adjuster_named(scene.turning))
    if each_mm is not None:
        for at_mm in corners(scene.machine):
            _write_way(at_mm, tips.share(at_mm) * each_mm * turns, canvas, cell(at_mm), fits)
    _draw_hinge(tips, canvas, cell, fits, marks)


def corners(machine: Machine) -> tuple[XY, ...]:
    """Return the plate's corners; of a round one the places at its front, right, back and left."""
    bed = machine.bed
    x, y = bed.origin_mm
    if bed.shape == "round":
        half = (bed.diameter_mm or 0.0) / 2.0
        return (x, y - half), (x + half, y), (x, y + half), (x - half, y)
    width, depth = bed.size_mm or (0.0, 0.0)
    return (x, y), (x + width, y), (x + width, y + depth), (x, y + depth)


def _draw_hinge(tips: Tipping, canvas: Canvas, cell: Cell, fits: Fits, marks: Marks) -> None:
    (x0, y0), (x1, y1) = tips.hinge
    shares = [step / STEPS for step in range(STEPS + 1)]
    cells = {cell((x0 + share * (x1 - x0), y0 + share * (y1 - y0))) for share in shares}
    for column, row in [each for each in cells if fits(*each, 1)]:
        canvas.put(column, row, marks.dot, "edge")


def _write_way(at_mm: XY, rise: float, canvas: Canvas, at: tuple[int, int], fits: Fits) -> None:
    """Write at a corner which way it goes, inwards where it stands at the right edge."""
    word = "up" if rise > 0 else "down"
    column, row = at
    if abs(rise) < 1e-9:
        return
    for start in (column, column - len(word) + 1):
        if fits(start, row, len(word)):
            canvas.put(start, row, word, "turn")
            return
