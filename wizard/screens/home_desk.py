"""What a person does on the home screen: a list of machines, a list of ways, a line to type. No drawing."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from profiles.faults import ProfileError
from profiles.machine import Machine
from wizard.screens.home_choices import OWN_FILE, RECORDS, Picked, Way, ways

FindPorts = Callable[[], tuple[tuple[str, str], ...]]
LONGEST_TYPED = 200
ADDRESS_HINT = "such as /dev/ttyUSB0 or socket://127.0.0.1:2217"
FILE_HINT = "such as mine.toml; tramwright profiles new writes one"


class HomeDesk:
    """The lists and the line. `press` takes a key; once `picked` is set, all is said.

    is_unfinished: whether there is a job of the machine of that name to go on with.
    is_proven: whether the machine of that name has a proven run, which a recheck can compare with.
    load: reads a machine's file; raises ProfileError with one sentence.
    """

    def __init__(
        self,
        machines: Mapping[str, Machine],
        find_ports: FindPorts,
        is_unfinished: Callable[[str], bool],
        load: Callable[[str], Machine],
        is_proven: Callable[[str], bool] = lambda _name: False,
    ) -> None:
        self._machines = dict(machines)
        self._find_ports = find_ports
        self._is_unfinished = is_unfinished
        self._load = load
        self._is_proven = is_proven
        self._ways: tuple[Way, ...] = ()
        self.profile = ""
        self.at = 0
        self.typed: str | None = None
        self.trouble = ""
        self.picked: Picked | None = None

    @property
    def machine(self) -> Machine | None:
        """The machine that is picked, or that the list stands at."""
        names = list(self._machines)
        name = self.profile or (names[self.at] if self.at < len(names) else "")
        return self._machines.get(name)

    @property
    def labels(self) -> tuple[str, ...]:
        """The entries of the list that is shown."""
        if self.profile:
            return tuple(way.label for way in self._ways)
        return (*self._machines, OWN_FILE, RECORDS.label)

    @property
    def title(self) -> str:
        """The one large sentence."""
        if self.typed is not None:
            return "Type the port or address, then Enter." if self.profile else "Type the file, then Enter."
        return "How is the machine reached?" if self.profile else "Which machine is it?"

    @property
    def hint(self) -> str:
        """What stands under the line that is typed."""
        return ADDRESS_HINT if self.profile else FILE_HINT

    def press(self, key: str, character: str | None) -> bool:
        """Take one key; return whether it was used."""
        self.trouble = ""
        return self._press_list(key) if self.typed is None else self._press_typing(key, character)

    def _press_list(self, key: str) -> bool:
        count = len(self.labels)
        if key in ("up", "down"):
            self.at = (self.at + (1 if key == "down" else -1)) % count
        elif key.isdecimal() and 1 <= int(key) <= count:
            self.at = int(key) - 1
        elif key == "enter":
            self._take()
        elif key in ("escape", "b") and self.profile:
            self.at = list(self._machines).index(self.profile)
            self.profile = ""
        else:
            return False
        return True

    def _take(self) -> None:
        if not self.profile:
            self._take_machine()
            return
        way = self._ways[self.at]
        if way.how == "address":
            self.typed = ""
        elif way.trouble:
            self.trouble = f"{way.port}: {way.trouble}"
        else:
            self.picked = Picked(self.profile, way)

    def _take_machine(self) -> None:
        names = list(self._machines)
        if self.at < len(names):
            self._go_on_with(names[self.at])
        elif self.at > len(names):
            self.picked = Picked("", RECORDS)
        else:
            self.typed = ""

    def _go_on_with(self, profile: str) -> None:
        self.profile, self.at = profile, 0
        self._ways = self._ways_to(self._machines[profile].name)

    def _press_typing(self, key: str, character: str | None) -> bool:
        typed = self.typed or ""
        if key == "escape":
            self.typed = None
        elif key == "enter":
            self._take_typed(typed.strip())
        elif key == "backspace":
            self.typed = typed[:-1]
        elif character is not None and len(character) == 1 and character.isprintable():
            self.typed = (typed + character)[:LONGEST_TYPED]
        else:
            return False
        return True

    def _take_typed(self, typed: str) -> None:
        if not typed:
            return
        if self.profile:
            self.picked = Picked(self.profile, Way("port", typed, typed))
            return
        try:
            self._machines[typed] = self._load(typed)
        except ProfileError as why:
            self.trouble = str(why)
            return
        self.typed = None
        self._go_on_with(typed)

    def _ways_to(self, name: str) -> tuple[Way, ...]:
        """Return the ways to reach the machine of that name."""
        return ways(self._find_ports(), self._is_unfinished(name), self._is_proven(name))
