"""What a roomy window shows besides the step: blocks, one under the other, as many as find room."""

from __future__ import annotations

from collections.abc import Callable, Iterable

import msgspec
from rich.text import Text
from textual.widget import Widget


class Block(msgspec.Struct, frozen=True):
    """A head and what stands under it, a row each, none longer than the panel is wide."""

    head: str
    body: Text

    @property
    def rows(self) -> int:
        """How many rows it takes, the head and the blank row after it included."""
        return self.body.plain.count("\n") + 3


def stacked(blocks: Iterable[Block], rows: int) -> Text:
    """Return the blocks that find room in `rows`, in their order; one too high is left out."""
    words, left = Text(no_wrap=True), rows
    for block in blocks:
        if block.rows - 1 > left:
            continue
        words.append("\n\n" if words else "")
        words.append(f"{block.head}\n", "bold")
        words.append_text(block.body)
        left -= block.rows
    return words


class Panel(Widget):
    """Shows blocks that are made anew for each size: `make(columns)`."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._make: Callable[[int], Iterable[Block]] = lambda _columns: ()
        self._key: object = None

    def show(self, key: object, make: Callable[[int], Iterable[Block]]) -> None:
        """Show other blocks; `key` tells them apart, and equal ones cost nothing."""
        if key != self._key:
            self._key, self._make = key, make
            self.refresh()

    def render(self) -> Text:
        """The blocks for the present size."""
        return stacked(self._make(self.size.width), self.size.height)
