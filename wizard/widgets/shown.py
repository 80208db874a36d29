"""What stands on the terminal, so that only the characters that change are written to it.

The drawing library repaints whole widgets, and gives each character of a drawing codes of its own;
over a slow line that is felt. Here a picture is compared with the one before it, cell by cell, and
what differs is written with as few codes as it takes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache

from rich.color import Color, ColorSystem
from rich.console import COLOR_SYSTEMS, Console, ConsoleOptions, RenderableType, RenderResult
from rich.style import Style
from textual._compositor import ChopsUpdate, CompositorUpdate, LayoutUpdate
from textual.strip import Strip

from wizard.widgets.pen import Cell, Pen

Piece = tuple[int, int, Strip]
"""Column, row, and what stands there."""

BRIDGED = 6
"""So many unchanged cells are written anew rather than stepped over: a step costs as many bytes."""


class Shown:
    """The cells as they were written last; None for one that is not known."""

    def __init__(self) -> None:
        self._rows: dict[int, list[Cell | None]] = {}

    def forget(self) -> None:
        """Take nothing for granted any more: the terminal was resized, or something wrote across it."""
        self._rows.clear()

    def changes(self, pieces: Iterable[Piece], console: Console) -> str:
        """Return what has to be written for the terminal to show `pieces`; "" for nothing."""
        pen = Pen()
        for column, row, strip in pieces:
            cells = cells_of(strip, console)
            if cells is None:
                self._put(column, row, [None] * strip.cell_length)
                pen.write_as_it_is(column, row, strip.render(console))
                continue
            for first, last in runs(self._put(column, row, cells), cells):
                pen.write(column + first, row, cells[first:last])
        return pen.written()

    def _put(self, column: int, row: int, cells: Sequence[Cell | None]) -> list[Cell | None]:
        """Note cells as shown; return what was there before."""
        line = self._rows.setdefault(row, [])
        end = column + len(cells)
        line.extend([None] * (end - len(line)))
        before = line[column:end]
        line[column:end] = cells
        return before


def only_changes(update: RenderableType | None, shown: Shown) -> RenderableType | None:
    """Return an update that writes only what differs from `shown`; another kind of update as it is."""
    if isinstance(update, LayoutUpdate | ChopsUpdate):
        return OnlyChanges(update, shown)
    if update is not None:
        shown.forget()
    return update


class OnlyChanges(CompositorUpdate):
    """An update that writes what differs from what is shown; one of the whole window writes it all."""

    def __init__(self, update: LayoutUpdate | ChopsUpdate, shown: Shown) -> None:
        self._update = update
        self._shown = shown

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """Yield all of it, for whoever draws it elsewhere."""
        yield self._update

    def render_segments(self, console: Console) -> str:
        """Return the codes and characters to write."""
        if isinstance(self._update, LayoutUpdate):
            self._shown.forget()
            return self._shown.changes(_whole(self._update), console)
        return self._shown.changes(_parts(self._update), console)


def cells_of(strip: Strip, console: Console) -> list[Cell] | None:
    """Return one cell for each character; None where a character is not one cell wide, or is a link."""
    colours = COLOR_SYSTEMS.get(console.color_system or "", ColorSystem.TRUECOLOR)
    cells: list[Cell] = []
    for text, given, _ in strip:
        style = given or Style.null()
        if style.link:
            return None
        codes = _codes(style, colours)
        ground = codes if _marks_blanks(style) else _ground(style.bgcolor, colours)
        cells.extend([(char, ground if char == " " else codes, ground) for char in text])
    return cells if len(cells) == strip.cell_length else None


def _marks_blanks(style: Style) -> bool:
    """Whether a blank in this style shows more than its ground."""
    return bool(style.reverse or style.underline or style.underline2 or style.strike or style.overline)


def _codes(style: Style, colours: ColorSystem) -> str:
    return style.render("\0", color_system=colours).partition("\0")[0]


@lru_cache(maxsize=64)
def _ground(colour: Color | None, colours: ColorSystem) -> str:
    return _codes(Style.from_color(None, colour), colours)


def runs(before: Sequence[Cell | None], after: Sequence[Cell]) -> list[tuple[int, int]]:
    """Return where the two differ, as (first, one past the last); small gaps are bridged."""
    if before == after:
        return []
    found: list[tuple[int, int]] = []
    for place, (old, new) in enumerate(zip(before, after, strict=True)):
        if old == new:
            continue
        if found and place - found[-1][1] <= BRIDGED:
            found[-1] = (found[-1][0], place + 1)
        else:
            found.append((place, place + 1))
    return found


def _whole(update: LayoutUpdate) -> Iterator[Piece]:
    """Return the pieces of a picture of the whole window."""
    for row, strips in enumerate(update.strips, update.region.y):
        yield update.region.x, row, Strip.join(strips)


def _parts(update: ChopsUpdate) -> Iterator[Piece]:
    """Return the pieces of a picture that are to be painted anew."""
    for row, first, last in update.spans:
        ends = update.chop_ends[row]
        for end, (column, strip) in zip(ends, update.chops[row].items(), strict=False):
            if strip is not None and column <= last and end > first:
                yield column, row, strip if end <= last else strip.crop(0, last - column)
