"""The words of a step: caution, what to do, and the keys that answer it."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable
from typing import Any, Protocol

from rich.text import Text
from textual.geometry import Size
from textual.widget import Widget
from textual.widgets import Static

from wizard.actions import shown
from wizard.instructions.fitting import sentences


class Choice(Protocol):
    """One answer that a key sends."""

    @property
    def key(self) -> str:
        """The key, as the keyboard names it."""

    @property
    def label(self) -> str:
        """What it says."""

    @property
    def answer(self) -> Any:
        """What is sent."""


class Page(Protocol):
    """The wording of one step, as `wizard.instructions` makes it."""

    @property
    def title(self) -> str:
        """One short sentence: what to do now."""

    @property
    def body(self) -> tuple[str, ...]:
        """The rest of the words, a paragraph each."""

    @property
    def choices(self) -> tuple[Any, ...]:
        """The keys that answer."""

    @property
    def caution(self) -> str:
        """What can hurt; "" for nothing."""

    @property
    def entry(self) -> str | None:
        """What may be typed: "reading", "turns", "height" or nothing."""


def caution_words(caution: str, columns: int) -> Text:
    """Return the caution, marked as such; empty for none."""
    if not caution:
        return Text()
    words = Text()
    words.append("CAUTION", "bold reverse")
    lines = textwrap.wrap(caution, max(columns, 20), initial_indent=" " * 8)
    words.append("\n".join(lines)[7:], "bold")
    return words


def body_words(body: Iterable[str], columns: int) -> Text:
    """Return the sentences, wrapped for `columns`."""
    words = Text()
    for sentence in sentences(body):
        words.append("\n" if len(words) else "")
        words.append("\n".join(textwrap.wrap(sentence, max(columns, 20), subsequent_indent="  ")))
    return words


def notice_words(notice: str, columns: int) -> Text:
    """Return something that went wrong, marked as such."""
    return Text("\n".join(textwrap.wrap(f"! {notice}", max(columns, 20), subsequent_indent="  ")), "bold")


def choice_words(choices: Iterable[Choice]) -> Text:
    """Return one row for each choice."""
    return rows_of_keys([(choice.key, choice.label) for choice in choices])


def rows_of_keys(keys: Iterable[tuple[str, str]]) -> Text:
    """Return one row for each key and what it says."""
    words = Text()
    for key, label in keys:
        words.append("\n" if len(words) else "")
        words.append(f" {shown(key)} ", "bold reverse")
        words.append(f"  {label}", "bold")
    return words


def flowing_keys(keys: Iterable[tuple[str, str]], columns: int) -> Text:
    """Return the keys with as many in a row as there is room for."""
    words, used = Text(), 0
    for key, label in keys:
        needed = len(shown(key)) + len(label) + 5
        if used and used + needed - 2 > columns:
            words.append("\n")
            used = 0
        words.append(f" {shown(key)} ", "bold reverse")
        words.append(f" {label}  ", "bold")
        used += needed
    return words


class Body(Widget):
    """A text that is made anew for each width: `make(columns)`."""

    auto_links = False  # there are none, and looking for them takes time at every key

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._make: Callable[[int], Text] = lambda _columns: Text()
        self._key: object = None

    def show(self, key: object, make: Callable[[int], Text]) -> None:
        """Show another text; `key` tells texts apart, and an equal one costs nothing."""
        if key != self._key:
            self._key, self._make = key, make
            self.refresh(layout=True)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Return the rows of the text at a width; none for no text."""
        plain = self._make(width).plain
        return plain.count("\n") + 1 if plain else 0

    def render(self) -> Text:
        """The text for the present width."""
        return self._make(self.size.width)


class Words(Static):
    """A text that is shown literally."""

    auto_links = False

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__("", id=id, markup=False)
        self._words: Text | None = None

    def show(self, words: Text) -> None:
        """Show other words; none take no room. The same words again cost nothing."""
        if self._words is None or words != self._words or words.style != self._words.style:
            before = 0 if self._words is None else self._height(self._words)
            same_height = before > 0 and before == self._height(words)
            self._words = words
            self.display = bool(len(words))
            self.update(words, layout=not same_height)

    def _height(self, words: Text) -> int:
        """Return the rows that words take here; 0 for those that wrap, whose rows are not known."""
        lines = words.plain.split("\n")
        return 0 if max(map(len, lines)) > self.size.width else len(lines)
