"""The bed from above, true to scale, front at the bottom. Pure: a scene and a size give characters.

A character cell is taken as twice as high as wide. Roles: edge, point, here, adjuster, turn, wide,
narrow, within, word, name.
"""

from __future__ import annotations

import msgspec

from profiles.machine import XY, Machine
from wizard.widgets.canvas import Canvas
from wizard.widgets.marks import Marks
from wizard.widgets.scene import Note, Scene
from wizard.widgets.tipping_drawing import draw_tipping
from wizard.widgets.turn_words import fraction_words

NAMED_FROM_COLUMNS = 44
"""From this width on there is room for the names of the points and for deviations."""

BLOCKS_FROM_ROWS = 11
"""From this height on there is room for a second row under a gap: its deviation."""


class Frame(msgspec.Struct, frozen=True):
    """From machine coordinates to cells: the rectangle `low`..`high` in mm fills the inner cells."""

    low: XY
    high: XY
    columns: int
    rows: int

    def cell(self, at_mm: XY) -> tuple[int, int]:
        """Return the inner cell (column, row) that holds a place; row 0 is at the back."""
        x = (at_mm[0] - self.low[0]) / (self.high[0] - self.low[0])
        y = (at_mm[1] - self.low[1]) / (self.high[1] - self.low[1])
        return round(x * (self.columns - 1)), round((1 - y) * (self.rows - 1))


def extents(machine: Machine) -> tuple[XY, XY]:
    """Return the corners of what is drawn, mm: the plate and every adjuster and point."""
    bed = machine.bed
    if bed.shape == "round":
        half = (bed.diameter_mm or 0.0) / 2
        corners = [(bed.origin_mm[0] + s * half, bed.origin_mm[1] + s * half) for s in (-1, 1)]
    else:
        size = bed.size_mm or (0.0, 0.0)
        corners = [bed.origin_mm, (bed.origin_mm[0] + size[0], bed.origin_mm[1] + size[1])]
    places = [*corners, *(a.at_mm for a in machine.adjuster), *(p.at_mm for p in machine.point)]
    low = (min(p[0] for p in places), min(p[1] for p in places))
    return low, (max(p[0] for p in places), max(p[1] for p in places))


def frame_for(machine: Machine, columns: int, rows: int) -> Frame:
    """Return the largest frame true to scale inside `columns` x `rows` cells."""
    low, high = extents(machine)
    wide, deep = max(high[0] - low[0], 1.0), max(high[1] - low[1], 1.0)
    cells_per_mm = min(columns / (2 * wide), rows / deep)
    return Frame(
        low,
        (low[0] + wide, low[1] + deep),
        min(columns, max(round(2 * wide * cells_per_mm), 2)),
        min(rows, max(round(deep * cells_per_mm), 2)),
    )


def draw_bed(scene: Scene, columns: int, rows: int, marks: Marks) -> Canvas:
    """Return the drawing in a canvas of exactly that size, the frame included."""
    canvas = Canvas(columns, rows)
    if columns < 8 or rows < 5:
        return canvas
    frame = frame_for(scene.machine, columns - 2, rows - 2)
    left = (columns - frame.columns - 2) // 2
    _draw_edge(canvas, frame, left, marks)
    sheet = _Sheet(canvas, frame, left + 1, marks)
    if scene.machine.bed.shape == "round":
        sheet.draw_rim(scene.machine)
    for adjuster in scene.machine.adjuster:
        sheet.draw_adjuster(adjuster.at_mm, bold=adjuster.name == scene.turning)
    for point in scene.machine.point:
        sheet.draw_point(point.at_mm, scene, point.name)
    if scene.nozzle_mm is not None:
        sheet.draw_nozzle(scene.nozzle_mm)
    sheet.write_names(scene)
    sheet.write_turns(scene)
    sheet.write_notes(scene)
    draw_tipping(scene, canvas, sheet.cell, sheet.fits, marks)
    return canvas


def _draw_edge(canvas: Canvas, frame: Frame, left: int, marks: Marks) -> None:
    upper_left, upper_right, lower_left, lower_right = tuple(marks.corners)
    bottom = frame.rows + 1
    across = marks.across * frame.columns
    canvas.put(left, 0, upper_left + across + upper_right, "edge")
    canvas.put(left, bottom, lower_left + across + lower_right, "edge")
    for row in range(1, bottom):
        canvas.put(left, row, marks.upright, "edge")
        canvas.put(left + frame.columns + 1, row, marks.upright, "edge")
    for row, word in ((0, " back "), (bottom, " FRONT ")):
        canvas.put(left + 1 + (frame.columns - len(word)) // 2, row, word, "word")


class _Sheet:
    """The inner cells of one canvas: where each thing of the scene is put."""

    def __init__(self, canvas: Canvas, frame: Frame, left: int, marks: Marks) -> None:
        self._canvas = canvas
        self._frame = frame
        self._left = left
        self._marks = marks

    def cell(self, at_mm: XY) -> tuple[int, int]:
        """Return the cell of the canvas that holds a place."""
        column, row = self._frame.cell(at_mm)
        return self._left + column, 1 + row

    def draw_rim(self, machine: Machine) -> None:
        """The edge of a round plate, dotted."""
        half = (machine.bed.diameter_mm or 0.0) / 2
        x0, y0 = machine.bed.origin_mm
        for step in range(101):
            along = (step / 50 - 1) * half
            across = max(half**2 - along**2, 0.0) ** 0.5
            for dx, dy in ((along, across), (along, -across), (across, along), (-across, along)):
                column, row = self.cell((x0 + dx, y0 + dy))
                self._canvas.put(column, row, self._marks.dot, "edge")

    def draw_adjuster(self, at_mm: XY, bold: bool) -> None:
        """A pair of brackets around the place."""
        column, row = self.cell(at_mm)
        role = "here" if bold else "adjuster"
        left = self._marks.here_left if bold else self._marks.ring_left
        right = self._marks.here_right if bold else self._marks.ring_right
        self._canvas.put(column - 1, row, left, role)
        self._canvas.put(column + 1, row, right, role)

    def draw_point(self, at_mm: XY, scene: Scene, name: str) -> None:
        """One mark: read or not yet; the current one between two arrowheads."""
        column, row = self.cell(at_mm)
        read = name in scene.notes
        mark = self._marks.read if read else self._marks.unread
        if name == scene.current:
            self._canvas.put(column - 1, row, self._marks.here_left + mark + self._marks.here_right, "here")
        else:
            self._canvas.put(column, row, mark, "point")

    def draw_nozzle(self, at_mm: XY) -> None:
        """The nozzle, where the machine says that it is."""
        self._canvas.put(*self.cell(at_mm), self._marks.nozzle, "here")

    def write_names(self, scene: Scene) -> None:
        """Over or under each point its name, the current one's first, where the plate is drawn large.

        A name that finds no room is left out: the title tells the point that the step is about.
        """
        if self._frame.columns < NAMED_FROM_COLUMNS:
            return
        for point in sorted(scene.machine.point, key=lambda point: point.name != scene.current):
            column, row = self.cell(point.at_mm)
            start = self._start(column, len(point.name))
            fitting = [at for at in (row - 1, row + 1) if self.fits(start, at, len(point.name))]
            for at in fitting[:1]:
                self._canvas.put(start, at, point.name, "name")

    def write_turns(self, scene: Scene) -> None:
        """Beside each adjuster that moves: direction and amount, or that it is done."""
        for name, turns in scene.turns.items():
            if not any(a.name == name for a in scene.machine.adjuster):
                continue
            arrow = self._marks.clockwise if turns > 0 else self._marks.counter
            sign = self._marks.ticked if name in scene.ticked else arrow
            at_mm = scene.machine.adjuster_named(name).at_mm
            role = "here" if name == scene.turning else "turn"
            self._write_near(at_mm, (f"{sign} {fraction_words(turns)}", sign), role)

    def write_notes(self, scene: Scene) -> None:
        """Beside each point: its gap, how sure it is, and a mark for too wide or too narrow."""
        for point in scene.machine.point:
            note = scene.notes.get(point.name)
            if note is not None and not self._write_block(point.at_mm, note):
                self._write_near(point.at_mm, self._forms(note), note.judged)

    def _write_block(self, at_mm: XY, note: Note) -> bool:
        """Write gap and, under it, deviation, in two rows beside the place; whether they found room.

        Under it; at the front edge over it. Where the plate is drawn large, one row holds both.
        """
        small = self._frame.rows < BLOCKS_FROM_ROWS or self._frame.columns >= NAMED_FROM_COLUMNS
        if note.deviation_mm is None or small:
            return False
        column, row = self.cell(at_mm)
        first = row + 1 if row + 2 <= self._frame.rows else row - 2
        lines = (
            note.long.replace("±", self._marks.plus_minus),
            f"{self._sign(note)} {note.deviation_mm:+.2f}",
        )
        places = [(self._start(column, len(line)), first + nth, line) for nth, line in enumerate(lines)]
        # Beside another point's gap a deviation would be taken for that gap's own.
        fit = all(
            self.fits(left, at, len(line), apart=1 + nth) for nth, (left, at, line) in enumerate(places)
        )
        for left, at, line in places if fit else ():
            self._canvas.put(left, at, line, note.judged)
        return fit

    def _start(self, column: int, length: int) -> int:
        return max(self._left, min(column - length // 2, self._left + self._frame.columns - length))

    def _sign(self, note: Note) -> str:
        mark = {"wide": self._marks.wide, "narrow": self._marks.narrow, "within": self._marks.within}
        return mark.get(note.judged, "?")

    def _forms(self, note: Note) -> tuple[str, ...]:
        """The note from the fullest wording to the barest."""
        sign = self._sign(note)
        long = note.long.replace("±", self._marks.plus_minus)
        forms = (f"{long} {sign}", f"{long}{sign}", f"{note.short}{sign}", note.short, sign)
        if note.deviation_mm is not None and self._frame.columns >= NAMED_FROM_COLUMNS:
            return (f"{long} {sign}{note.deviation_mm:+.2f}", *forms)
        return forms

    def _write_near(self, at_mm: XY, forms: tuple[str, ...], role: str) -> None:
        """Write the fullest form that finds room under, over or beside the place."""
        column, row = self.cell(at_mm)
        for form in forms:
            start = self._start(column, len(form))
            for place in (
                (start, row + 1),
                (start, row - 1),
                (start, row - 2),
                (column + 3, row),
                (column - 2 - len(form), row),
            ):
                if self.fits(*place, len(form)):
                    self._canvas.put(*place, form, role)
                    return

    def fits(self, column: int, row: int, length: int, apart: int = 1) -> bool:
        """Whether a text has room there, with `apart` blanks on either side of it or the plate's edge."""
        right = self._left + self._frame.columns
        first, last = max(column - apart, self._left), min(column + length + apart, right)
        inner = self._left <= column and column + length <= right
        return inner and 1 <= row <= self._frame.rows and self._canvas.free(first, row, last - first)
