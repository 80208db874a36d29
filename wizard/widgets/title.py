"""The one large sentence: what to do now. In a high window it is drawn in letters of three rows.

While the machine moves, the rows around the sentence are hatched: a shape that is seen from afar.
"""

from __future__ import annotations

import textwrap

from rich.text import Text
from textual.geometry import Size
from textual.widget import Widget

from wizard.widgets.big_letters import ROWS_A_LINE, draw, fold
from wizard.widgets.marks import FULL, Marks

LARGE_FROM_ROWS = 36
SMALL_ROWS = 3


class Title(Widget):
    """The sentence, as large as its room allows."""

    def __init__(self, marks: Marks = FULL, *, id: str | None = None, large: bool | None = None) -> None:
        """`large`: in large letters always, never, or (None) where the window is high."""
        super().__init__(id=id)
        self._large = large
        self._marks = marks
        self.sentence = ""
        self.moving = False

    def show(self, sentence: str, moving: bool) -> None:
        """Show another sentence; `moving` hatches the rows around it."""
        if (sentence, moving) != (self.sentence, self.moving):
            self.sentence, self.moving = sentence, moving
            self.refresh(layout=True)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Return the rows that the sentence wants: large letters where the window has room for them."""
        large = viewport.height >= LARGE_FROM_ROWS if self._large is None else self._large
        if not large or self._marks.plain:
            return SMALL_ROWS
        folded = fold(self.sentence, width - 4) or []
        return len(folded) * (ROWS_A_LINE + 1) + 1 if 1 <= len(folded) <= 2 else SMALL_ROWS

    def render(self) -> Text:
        """The rows for the present size."""
        columns, rows = self.size
        return Text(
            "\n".join(title_rows(self.sentence, columns, rows, self.moving, self._marks)), no_wrap=True
        )


def title_rows(sentence: str, columns: int, rows: int, moving: bool, marks: Marks) -> list[str]:
    """Return exactly `rows` rows: the sentence in the middle, hatching above and below while moving."""
    lines = _large(sentence, columns, rows, marks) or _small(sentence, columns, rows)
    blank = rows - len(lines)
    above = blank // 2
    around = ("/ " * columns)[:columns] if moving else ""
    drawn = [*[around] * above, *lines, *[around] * (blank - above)]
    return [row.ljust(columns) for row in drawn]  # the band is as wide as the window, also where reversed


def _large(sentence: str, columns: int, rows: int, marks: Marks) -> list[str] | None:
    if rows < ROWS_A_LINE + 2 or marks.plain:
        return None
    folded = fold(sentence, columns - 4)
    if folded is None or len(folded) * (ROWS_A_LINE + 1) - 1 > rows:
        return None
    drawn = [[*draw(line, marks), ""] for line in folded]
    return ["  " + row if row else "" for line in drawn for row in line][:-1]


def _small(sentence: str, columns: int, rows: int) -> list[str]:
    return ["  " + line for line in textwrap.wrap(sentence, max(columns - 4, 10))[:rows]]
