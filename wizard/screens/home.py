"""The first screen: which machine, then how it is reached."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from wizard.actions import ACTIONS, Action, Place, actions_at
from wizard.instructions.fitting import wrapped
from wizard.screens.home_choices import Picked, machine_words
from wizard.screens.home_desk import HomeDesk
from wizard.screens.sized import SizedScreen
from wizard.widgets.bed_map import BedMap
from wizard.widgets.keys_bar import KeysBar
from wizard.widgets.marks import FULL, Marks
from wizard.widgets.page_words import Words, notice_words
from wizard.widgets.progress import TopRow
from wizard.widgets.scene import Scene
from wizard.widgets.title import Title

ROWS_BESIDE = 8
"""Rows that a list leaves for the keys and for what the chosen machine is."""

ROWS_ABOVE = 2
"""Over what is told of a machine: a blank row, and its name."""

LEAST_ENTRIES = 5
LEAST_COLUMNS = 20
"""The side is told its width only after the first layout."""


def nothing_on_record(machine_name: str) -> str:
    """Tell nothing of how a machine stands."""
    return ""


def window(count: int, at: int, room: int) -> range:
    """Return which entries of a list are shown: as many as there is room for, the chosen one among them."""
    room = max(room, LEAST_ENTRIES)
    first = min(max(at - room // 2, 0), max(count - room, 0))
    return range(first, min(first + room, count))


class HomeScreen(SizedScreen):
    """Two short lists, one after the other. `picked` is called with what was picked.

    on_record: how the machine of a name stands by its records, in a sentence or two.
    """

    place: Place = "home"

    def __init__(
        self,
        desk: HomeDesk,
        picked: Callable[[Picked], None],
        marks: Marks = FULL,
        actions: tuple[Action, ...] = ACTIONS,
        on_record: Callable[[str], str] = nothing_on_record,
    ) -> None:
        super().__init__(actions)
        self.desk = desk
        self._picked = picked
        self._marks = marks
        self._on_record = cache(on_record)

    def compose(self) -> ComposeResult:
        """The same rows as a job has: title, drawing, words, keys."""
        yield self.too_small()
        yield TopRow(self._marks, id="top")
        yield Title(self._marks, id="title")
        with Horizontal(id="middle"):
            yield BedMap(self._marks, id="map")
            with Vertical(id="side"):
                yield Words(id="choices")
                yield Words(id="body")
        yield KeysBar(id="keys")

    def on_mount(self) -> None:
        """Show the machines."""
        self.query_one(KeysBar).show(actions_at("home", self._actions))
        self.show()

    def on_key(self, event: events.Key) -> None:
        """Take digits, arrows, Enter and Esc; while something is typed, everything printable."""
        if not self.desk.press(event.key, event.character):
            return
        event.stop()
        event.prevent_default()
        if self.desk.picked is not None:
            self._picked(self.desk.picked)
        self.show()

    def resized(self) -> None:
        """Fill anew what depends on the width."""
        self.show()

    def show(self) -> None:
        """Bring every widget up to what is picked so far."""
        self.query_one(TopRow).show("Tramwright: bed level and nozzle height, proven", "", simulated=False)
        self.query_one(Title).show(self.desk.title, moving=False)
        if self.desk.machine is not None:
            self.query_one(BedMap).show(Scene(machine=self.desk.machine))
        self.query_one("#choices", Words).show(self._list_words())
        self.query_one("#body", Words).show(self._told())

    def _list_words(self) -> Text:
        words = Text()
        if self.desk.typed is not None:
            words.append(f" {self.desk.typed}_ ", "bold reverse")
            words.append(f"\n{self.desk.hint}\nEsc goes back to the list.")
            return words
        labels = self.desk.labels
        near = window(len(labels), self.desk.at, self.query_one("#side").content_size.height - ROWS_BESIDE)
        for number, label in list(enumerate(labels, 1))[near.start : near.stop]:
            here = number - 1 == self.desk.at
            arrow = self._marks.here_left if here else " "
            words.append("\n" if len(words) else "")
            words.append(f"{arrow} {number} ", "bold reverse" if here else "bold")
            words.append(f" {label}", "bold" if here else "")
        more = "" if len(near) == len(labels) else f"{near.start + 1} to {near.stop} of {len(labels)}. "
        words.append(f"\n\n{more}Up, Down or a digit, then Enter.")
        return words

    def _told(self) -> Text:
        """Return what is wrong, or else what the machine is."""
        if self.desk.trouble:
            return notice_words(self.desk.trouble, self.query_one("#side").content_size.width)
        words = Text()
        machine = self.desk.machine
        if machine is not None and self.desk.typed is None:
            words.append(machine.name, "bold")
            for told in self._fitting(self._on_record(machine.name), machine_words(machine)):
                words.append(f"\n{told}")
        return words

    def _fitting(self, stands: str, what: str) -> list[str]:
        """Return how the machine stands, then what it is: that only where there is room for both."""
        side = self.query_one("#side").content_size
        rows = len(wrapped([stands, what], max(side.width, LEAST_COLUMNS)))
        taken = self._list_words().plain.count("\n") + 1 + ROWS_ABOVE
        both = not stands or taken + rows <= side.height
        return [each for each in (stands, what if both else "") if each]
