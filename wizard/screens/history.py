"""The records on the screen: a table to move through, one run, a machine's drift as a chart."""

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


class Rows(Static):
    """A window on lines of text, which keeps the chosen one in sight."""

    def __init__(self, desk: HistoryDesk, marks: Marks, *, id: str | None = None) -> None:
        super().__init__("", id=id, markup=False)
        self._desk = desk
        self._marks = marks

    def render(self) -> Text:
        """The rows for the present height."""
        at, height = self._desk.at, max(self.size.height, 1)
        first = self._desk.first if at is None else max(0, at - height + 1)
        words = Text()
        for nth, line in enumerate(self._desk.lines[first : first + height], first):
            arrow = self._marks.here_left if nth == at else " "
            row = Text(f"{arrow} {printable(line)}", "bold reverse" if nth == at else "")
            row.truncate(max(self.size.width, 1), overflow="ellipsis")
            words.append("\n" if words else "")
            words.append_text(row)
        return words


class HistoryScreen(SizedScreen):
    """Title, rows, what the keys do."""

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

    def show(self) -> None:
        """Bring the words up to what is chosen."""
        self.query_one(Title).show(self.desk.title, moving=False)
        self.query_one(Rows).refresh()
        self.query_one("#body", Words).show(Text(f" {self.desk.hint}", "bold"))

    def on_key(self, event: events.Key) -> None:
        """Arrows, Enter, d and Esc."""
        if self.desk.press(event.key, max(self.query_one(Rows).size.height - 1, 1)):
            event.stop()
            event.prevent_default()
            self.show()
