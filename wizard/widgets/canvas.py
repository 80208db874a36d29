"""A small grid of characters to draw on, and one of square dots that is shown as half blocks."""

from __future__ import annotations

from collections.abc import Mapping

from rich.style import Style
from rich.text import Text

from wizard.widgets.marks import Marks

Ink = Mapping[str, str | Style]


class Canvas:
    """`columns` x `rows` characters, each with a role that an ink turns into a style."""

    def __init__(self, columns: int, rows: int) -> None:
        self.columns = max(columns, 0)
        self.rows = max(rows, 0)
        self._cells = [[(" ", "") for _ in range(self.columns)] for _ in range(self.rows)]

    def inside(self, column: int, row: int) -> bool:
        """Whether the cell exists."""
        return 0 <= column < self.columns and 0 <= row < self.rows

    def put(self, column: int, row: int, text: str, role: str = "") -> None:
        """Write `text` rightwards from a cell; what falls outside is left out."""
        for offset, character in enumerate(text):
            if self.inside(column + offset, row):
                self._cells[row][column + offset] = (character, role)

    def free(self, column: int, row: int, length: int) -> bool:
        """Whether `length` cells exist there and are still blank."""
        if not (self.inside(column, row) and self.inside(column + length - 1, row)):
            return False
        return all(self._cells[row][column + i][0] == " " for i in range(length))

    def lines(self) -> list[str]:
        """The characters alone, a string a row."""
        return ["".join(character for character, _ in row) for row in self._cells]

    def text(self, ink: Ink) -> Text:
        """The whole drawing, ready to show."""
        drawn = Text(no_wrap=True, end="")
        for index, row in enumerate(self._cells):
            if index:
                drawn.append("\n")
            for character, role in row:
                drawn.append(character, ink.get(role, ""))
        return drawn


class Dots:
    """`width` x `height` square dots, two to a character cell one above the other."""

    def __init__(self, width: int, height: int) -> None:
        self.width = width
        self.height = height
        self._on: set[tuple[int, int]] = set()

    def set(self, x: int, y: int) -> None:
        """Ink the dot; (0, 0) is at the upper left."""
        if 0 <= x < self.width and 0 <= y < self.height:
            self._on.add((x, y))

    def clear(self, x: int, y: int) -> None:
        """Take the ink away again."""
        self._on.discard((x, y))

    def lines(self, marks: Marks) -> list[str]:
        """The dots as rows of half blocks (plain set: one character where either dot is inked)."""
        return [self._line(row, marks) for row in range((self.height + 1) // 2)]

    def _line(self, row: int, marks: Marks) -> str:
        glyphs = {
            (False, False): " ",
            (True, False): marks.upper,
            (False, True): marks.lower,
            (True, True): marks.full,
        }
        return "".join(
            glyphs[((x, 2 * row) in self._on, (x, 2 * row + 1) in self._on)] for x in range(self.width)
        )
