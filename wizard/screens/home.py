"""The first screen: which machine, then how it is reached."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from profiles.machine import Machine
from wizard.actions import ACTIONS, Action, Place, actions_at
from wizard.screens.home_choices import Picked, Way, machine_words, ways
from wizard.screens.sized import SizedScreen
from wizard.widgets.bed_map import BedMap
from wizard.widgets.keys_bar import KeysBar
from wizard.widgets.marks import FULL, Marks
from wizard.widgets.page_words import Words
from wizard.widgets.progress import TopRow
from wizard.widgets.scene import Scene
from wizard.widgets.title import Title

LONGEST_ADDRESS = 60
FindPorts = Callable[[], tuple[tuple[str, str], ...]]


class HomeScreen(SizedScreen):
    """Two short lists, one after the other. `picked` is called with what was picked.

    is_unfinished: whether there is a job of the machine of that name to go on with.
    """

    place: Place = "home"

    def __init__(
        self,
        machines: Mapping[str, Machine],
        find_ports: FindPorts,
        picked: Callable[[Picked], None],
        *,
        is_unfinished: Callable[[str], bool] = lambda _name: False,
        marks: Marks = FULL,
        actions: tuple[Action, ...] = ACTIONS,
    ) -> None:
        super().__init__()
        self._machines = dict(machines)
        self._find_ports = find_ports
        self._picked = picked
        self._is_unfinished = is_unfinished
        self._marks = marks
        self._actions = actions
        self._profile = ""
        self._ways: tuple[Way, ...] = ()
        self._at = 0
        self._address: str | None = None
        self._trouble = ""

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
        """Take digits, arrows, Enter and Esc; while an address is typed, everything printable."""
        typing = self._address is not None
        used = self._press_address(event) if typing else self._press_list(event.key)
        if used:
            event.stop()
            event.prevent_default()
            self.show()

    def _press_list(self, key: str) -> bool:
        self._trouble = ""
        count = len(self._labels())
        if key in ("up", "down"):
            self._at = (self._at + (1 if key == "down" else -1)) % max(count, 1)
        elif key.isdecimal() and 1 <= int(key) <= count:
            self._at = int(key) - 1
        elif key == "enter" and count:
            self._take()
        elif key in ("escape", "b") and self._profile:
            self._at = list(self._machines).index(self._profile)
            self._profile = ""
        else:
            return False
        return True

    def _take(self) -> None:
        if not self._profile:
            self._profile, self._at = list(self._machines)[self._at], 0
            self._ways = ways(self._find_ports(), self._is_unfinished(self._machines[self._profile].name))
            return
        way = self._ways[self._at]
        if way.how == "address":
            self._address = ""
        elif way.trouble:
            self._trouble = f"{way.port}: {way.trouble}"
        else:
            self._picked(Picked(self._profile, way))

    def _press_address(self, event: events.Key) -> bool:
        typed = self._address or ""
        if event.key == "escape":
            self._address = None
        elif event.key == "enter" and typed:
            self._picked(Picked(self._profile, Way("port", typed, typed)))
        elif event.key == "backspace":
            self._address = typed[:-1]
        elif event.character and event.character.isprintable() and event.character != " ":
            self._address = (typed + event.character)[:LONGEST_ADDRESS]
        else:
            return False
        return True

    def resized(self) -> None:
        """The drawing follows by itself."""

    def show(self) -> None:
        """Bring every widget up to what is picked so far."""
        self.query_one(TopRow).show("Tramwright: bed level and nozzle height, proven", "", simulated=False)
        self.query_one(Title).show(self._title(), moving=False)
        machine = self._machine()
        if machine is not None:
            self.query_one(BedMap).show(Scene(machine=machine))
        self.query_one("#choices", Words).show(self._list_words())
        self.query_one("#body", Words).show(self._told(machine))

    def _machine(self) -> Machine | None:
        names = list(self._machines)
        name = self._profile or (names[self._at] if names else "")
        return self._machines.get(name)

    def _title(self) -> str:
        if self._address is not None:
            return "Type the port or address, then Enter."
        return "How is the machine reached?" if self._profile else "Which machine is it?"

    def _labels(self) -> Sequence[str]:
        return [way.label for way in self._ways] if self._profile else list(self._machines)

    def _list_words(self) -> Text:
        words = Text()
        if self._address is not None:
            words.append(f" {self._address}_ ", "bold reverse")
            words.append("\nsuch as /dev/ttyUSB0 or socket://127.0.0.1:2217\nEsc goes back to the list.")
            return words
        for number, label in enumerate(self._labels(), 1):
            here = number - 1 == self._at
            arrow = self._marks.here_left if here else " "
            words.append("\n" if len(words) else "")
            words.append(f"{arrow} {number} ", "bold reverse" if here else "bold")
            words.append(f" {label}", "bold" if here else "")
        words.append("\n\nUp, Down or a digit, then Enter.")
        return words

    def _told(self, machine: Machine | None) -> Text:
        words = Text()
        if self._trouble:
            words.append(f"! {self._trouble}\n\n", "bold")
        if machine is None:
            words.append("No machine description was found.")
        else:
            words.append(f"\n{machine.name}\n", "bold")
            words.append(machine_words(machine))
        return words


__all__ = ["HomeScreen"]
