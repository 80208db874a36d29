"""The line log: every line sent (>) and received (<), literally, with search."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.widgets import Static

from drivers.interface import LineRecord
from wizard.actions import ACTIONS, Action, Place, action_for, actions_at
from wizard.screens.sized import SizedScreen
from wizard.widgets.keys_bar import KeysBar
from wizard.widgets.marks import FULL, Marks
from wizard.widgets.page_words import Body, notice_words
from wizard.widgets.title import Title

LONGEST_SEARCH = 40


class LogLines(Static):
    """A window on the lines: `up` counts lines from the newest."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__("", id=id, markup=False)
        self._lines: list[str] = []
        self._up = 0

    def show(self, lines: list[str], up: int) -> None:
        """Show other lines, or another part of them."""
        if (lines, up) != (self._lines, self._up):
            self._lines, self._up = lines, up
            self.refresh()

    def render(self) -> Text:
        """The rows for the present height."""
        end = max(len(self._lines) - self._up, 0)
        shown = self._lines[max(end - self.size.height, 0) : end]
        return Text("\n".join(shown) or "No such line yet.", no_wrap=True, overflow="ellipsis")


class LogScreen(SizedScreen):
    """Lies over the job, which goes on below. Typing searches; the stop key still stops."""

    place: Place = "log"

    def __init__(
        self, lines: Sequence[LineRecord], marks: Marks = FULL, actions: tuple[Action, ...] = ACTIONS
    ) -> None:
        super().__init__(actions)
        self._records = lines
        self._marks = marks
        self._search = ""
        self._up = 0

    def compose(self) -> ComposeResult:
        """Title, lines, keys."""
        yield self.too_small()
        yield Title(self._marks, id="title", large=False)
        yield LogLines(id="log")
        yield Body(id="said")
        yield KeysBar(id="keys")

    def on_mount(self) -> None:
        """Show the newest lines, and keep up with new ones."""
        self.query_one(KeysBar).show(actions_at("log", self._actions))
        self.set_interval(0.5, self.show)
        self.show()

    def show(self) -> None:
        """Show the lines that hold what is searched for."""
        found = self.found
        self._up = min(self._up, max(len(found) - 1, 0))
        told = f"with {self._search}" if self._search else "type to search"
        self.query_one(Title).show(f"Line log: {len(found)} lines, {told}.", moving=False)
        self.query_one(LogLines).show(found, self._up)

    @property
    def found(self) -> list[str]:
        """The lines that hold what is searched for, the oldest first."""
        return [f"{r.direction} {r.text}" for r in self._records if self._search.lower() in r.text.lower()]

    def say(self, words: str) -> None:
        """Say under the lines what became of them."""
        self.query_one("#said", Body).show(words, partial(notice_words, words))

    def on_key(self, event: events.Key) -> None:
        """Arrows move through the lines; letters search; Esc first clears the search."""
        if not self._press(event.key, event.character):
            return
        event.stop()
        event.prevent_default()
        self.show()

    def _press(self, key: str, character: str | None) -> bool:
        if key in ("up", "down"):
            self._up = max(self._up + (1 if key == "up" else -1), 0)
        elif key in ("left", "right", "pageup", "pagedown"):
            page = max(self.query_one(LogLines).size.height - 1, 1)
            self._up = max(self._up + (page if key in ("left", "pageup") else -page), 0)
        elif key == "escape" and self._search:
            self._search = ""
        elif key == "backspace" and self._search:
            self._search = self._search[:-1]
        elif (
            character is not None
            and len(character) == 1
            and character.isprintable()
            and action_for(key, self.place, self._actions) is None
        ):
            self._search = (self._search + character)[:LONGEST_SEARCH]
        else:
            return False
        return True
