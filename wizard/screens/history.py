"""The records on the screen: a table to move through, one run, two compared, a drift as a chart."""

from __future__ import annotations

from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.widgets import Static

from profiles.faults import printable
from wizard.actions import ACTIONS, Action, Place, actions_at
from wizard.screens.history_desk import HistoryDesk
from wizard.screens.sized import SizedScreen
from wizard.widgets.keys_bar import KeysBar
from wizard.widgets.marks import FULL, Marks
from wizard.widgets.page_words import Words
from wizard.widgets.title import Title

LEAST_COLUMNS = 20
EDGE = 2
"""Columns before a line, where the mark of the chosen one stands."""


class Rows(Static):
    """A window on lines of text, under a heading that stays; the chosen one is in sight."""

    def __init__(self, desk: HistoryDesk, marks: Marks, *, id: str | None = None) -> None:
        super().__init__("", id=id, markup=False)
        self._desk = desk
        self._marks = marks

    def measure(self) -> None:
        """Tell the desk how much room there is now."""
        headed = 1 if self._desk.head else 0
        text = self._desk.text
        text.columns = max(self.size.width - EDGE, LEAST_COLUMNS)
        text.rows = max(self.size.height - headed, 1)

    def render(self) -> Text:
        """The rows for the present height."""
        self.measure()
        desk = self._desk
        words = Text()
        if desk.head:
            words.append_text(self._cut(Text(f"{' ' * EDGE}{desk.head}", "bold")))
        for nth, line in enumerate(desk.lines[desk.first : desk.first + desk.text.rows], desk.first):
            words.append("\n" if words else "")
            words.append_text(self._row(nth, line))
        return words

    def _row(self, nth: int, line: str) -> Text:
        desk = self._desk
        mark = self._marks.nozzle if nth == desk.marked else " "
        chosen = nth == desk.at
        edge = self._marks.here_left if chosen else mark
        return self._cut(Text(f"{edge} {printable(line)}", "bold reverse" if chosen else ""))

    def _cut(self, row: Text) -> Text:
        row.truncate(max(self.size.width, 1), overflow="ellipsis")
        return row


class HistoryScreen(SizedScreen):
    """Title, rows, what is chosen, what the keys do."""

    place: Place = "home"

    def __init__(self, desk: HistoryDesk, marks: Marks = FULL, actions: tuple[Action, ...] = ACTIONS) -> None:
        super().__init__(actions)
        self.desk = desk
        self._marks = marks

    def compose(self) -> ComposeResult:
        """Title, rows, hint, keys."""
        yield self.too_small()
        yield Title(self._marks, id="title", large=False)
        yield Rows(self.desk, self._marks, id="log")
        yield Words(id="body")
        yield KeysBar(id="keys")

    def on_mount(self) -> None:
        """Show the list."""
        self.query_one(KeysBar).show(actions_at("home", self._actions))
        self.show()

    def resized(self) -> None:
        """Show the same in the new room."""
        self.call_after_refresh(self.show)

    def show(self) -> None:
        """Bring the words up to what is chosen."""
        rows = self.query_one(Rows)
        rows.measure()
        self.query_one(Title).show(self.desk.title, moving=False)
        rows.refresh()
        about = Text(f" {printable(self.desk.about)}", no_wrap=True, overflow="ellipsis")
        self.query_one("#body", Words).show(about.append(f"\n {self.desk.hint}", "bold"))

    def on_key(self, event: events.Key) -> None:
        """The arrows, and the letters of the hint."""
        self.query_one(Rows).measure()
        if self.desk.press(event.key, event.character):
            event.stop()
            event.prevent_default()
            self.show()
