"""A section in characters: along to scale, and the deviations to a scale of their own, which is told. Pure.

Up is nearer to the nozzle. The middle row is the wanted gap; broken lines are the tolerance.
"""

from __future__ import annotations

from itertools import pairwise

from wizard.widgets.canvas import Canvas
from wizard.widgets.marks import Marks
from wizard.widgets.section import Place, Section

STEPS_MM = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0)
GUTTER = 7
LEAST_COLUMNS, LEAST_ROWS = 20, 5


def row_mm(section: Section, tolerance_mm: float, half: int) -> float:
    """Return how many mm one row is, so that `half` rows to either side hold every bound."""
    sides = [abs(mm) for place in section.places for mm in (place.low_mm, place.high_mm) if mm is not None]
    most = max([tolerance_mm, *sides])
    return next((step for step in STEPS_MM if step * half >= most), STEPS_MM[-1])


def draw_section(section: Section, tolerance_mm: float, columns: int, rows: int, marks: Marks) -> Canvas:
    """Return the drawing in a canvas of exactly that size; the last row tells where it runs."""
    canvas = Canvas(columns, rows)
    half = (rows - 2) // 2
    if columns < LEAST_COLUMNS or rows < LEAST_ROWS:
        return canvas
    step_mm = row_mm(section, tolerance_mm, half)
    sheet = _Sheet(canvas, section, step_mm, half, marks)
    sheet.draw_frame(tolerance_mm)
    sheet.draw_surface()
    canvas.put(GUTTER, 2 * half + 1, section.words[: columns - GUTTER], "name")
    return canvas


class _Sheet:
    """One canvas, and where a place and a deviation lie on it."""

    def __init__(self, canvas: Canvas, section: Section, step_mm: float, half: int, marks: Marks) -> None:
        self._canvas = canvas
        self._section = section
        self._step_mm = step_mm
        self._half = half
        self._marks = marks

    def column(self, along_mm: float) -> int:
        """Return the column of a place along the section."""
        room = self._canvas.columns - GUTTER - 1
        return GUTTER + round(along_mm / max(self._section.length_mm, 1.0) * room)

    def row(self, deviation_mm: float) -> int:
        """Return the row of a deviation; one beyond the edge is shown at it."""
        rows = round(deviation_mm / self._step_mm)
        return self._half + min(max(rows, -self._half), self._half)

    def draw_frame(self, tolerance_mm: float) -> None:
        """The wanted gap, the tolerance, and figures at the left."""
        for deviation_mm in (-self._half * self._step_mm, 0.0, self._half * self._step_mm):
            word = f"{deviation_mm:+.2f}" if deviation_mm else "wanted"
            self._canvas.put(0, self.row(deviation_mm), f"{word:>{GUTTER - 1}}", "name")
        for column in range(GUTTER, self._canvas.columns):
            self._canvas.put(column, self._half, self._marks.across, "edge")
            if column % 3 == 0:
                for side_mm in (-tolerance_mm, tolerance_mm):
                    self._canvas.put(column, self.row(side_mm), self._marks.across, "edge")

    def draw_surface(self) -> None:
        """The surface between the points that are known on both sides, then each point's bounds."""
        known = [place for place in self._section.places if place.middle_mm is not None]
        for one, other in pairwise(known):
            self._draw_between(one, other)
        for place in self._section.places:
            self._draw_place(place)

    def _draw_between(self, one: Place, other: Place) -> None:
        first, last = self.column(one.along_mm), self.column(other.along_mm)
        start_mm, end_mm = one.middle_mm or 0.0, other.middle_mm or 0.0
        for column in range(first, last + 1):
            share = (column - first) / max(last - first, 1)
            row = self.row(start_mm + share * (end_mm - start_mm))
            self._canvas.put(column, row, self._marks.dot, "turn")

    def _draw_place(self, place: Place) -> None:
        column, edge_mm = self.column(place.along_mm), self._half * self._step_mm
        low_mm = -edge_mm if place.low_mm is None else place.low_mm
        high_mm = edge_mm if place.high_mm is None else place.high_mm
        for row in range(self.row(low_mm), self.row(high_mm) + 1):
            self._canvas.put(column, row, self._marks.upright, "point")
        if place.middle_mm is not None:
            self._canvas.put(column, self.row(place.middle_mm), self._marks.read, "here")
