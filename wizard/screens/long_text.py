"""A text in a window: broken at its edge, moved through by lines. No drawing."""

from __future__ import annotations

from collections.abc import Sequence

from wizard.instructions.figures import counted
from wizard.instructions.fitting import wrapped

COLUMNS_APART = "   "
"""What only a row of a table has within it."""


class LongText:
    """`lines` from `first` on are seen, as many as `rows`; nothing is cut off but a table's rows."""

    def __init__(self) -> None:
        self._told: tuple[str, ...] = ()
        self._first = 0
        self.columns, self.rows = 80, 16

    def show(self, told: Sequence[str]) -> None:
        """Show another text from its beginning."""
        self._told, self._first = tuple(told), 0

    def move(self, by: int) -> None:
        """Move on by so many lines, or back; the end leaves a full window."""
        self._first = min(max(self.first + by, 0), self._last_first)

    @property
    def first(self) -> int:
        """The first line that is seen."""
        return min(self._first, self._last_first)

    @property
    def _last_first(self) -> int:
        return max(len(self.lines) - self.rows, 0)

    @property
    def lines(self) -> list[str]:
        """The text, broken at the window's edge; what is indented stays so."""
        return [part for line in self._told for part in self._broken(line)]

    def _broken(self, line: str) -> list[str]:
        if len(line) <= self.columns or COLUMNS_APART in line.strip():
            return [line]
        indent = " " * (len(line) - len(line.lstrip()))
        return [indent + part for part in wrapped([line], self.columns - len(indent))]

    @property
    def seen(self) -> str:
        """Which lines are seen, as a sentence."""
        count = len(self.lines)
        if count <= self.rows:
            return f"All of it is seen: {counted(count, 'line')}."
        return f"lines {self.first + 1} to {min(self.first + self.rows, count)} of {count}."
