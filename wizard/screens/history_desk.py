"""What a person does on the screen of records: a list of runs, one run, a machine's drift. No drawing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Literal

from wizard.history.listing import result, when
from wizard.instructions import mm
from wizard.records.run import Run

Shown = Literal["list", "run", "drift"]
EMPTY = "No runs are on record yet: a levelling makes the first."


class HistoryDesk:
    """The list and what lies over it. `press` takes a key; `lines` and `at` say what to draw.

    one, drift: the lines of a run, and of the drift of a machine.
    """

    def __init__(
        self, runs: Sequence[Run], one: Callable[[str], list[str]], drift: Callable[[str], list[str]]
    ) -> None:
        self._runs = tuple(runs)
        self._one = one
        self._drift = drift
        self._told: list[str] = []
        self._chosen = 0
        self._first = 0
        self.shown: Shown = "list"

    @property
    def lines(self) -> list[str]:
        """What is shown, a line each."""
        if self.shown != "list":
            return self._told
        return [row(run) for run in self._runs] or [EMPTY]

    @property
    def at(self) -> int | None:
        """The line that is chosen; None where none can be."""
        return self._chosen if self.shown == "list" and self._runs else None

    @property
    def first(self) -> int:
        """The first line of a text that is seen, as far as it was moved."""
        return self._first

    @property
    def title(self) -> str:
        """One large sentence."""
        if self.shown == "list":
            return f"Runs on record: {len(self._runs)}."
        run = self._runs[self._chosen]
        return f"Run of {when(run.created)} UTC." if self.shown == "run" else f"Drift of {run.machine}."

    @property
    def hint(self) -> str:
        """Which keys do what."""
        if self.shown == "list":
            return "Up, Down. Enter shows the run, d the drift of its machine."
        return "Up, Down move the text. Esc goes back to the list."

    def press(self, key: str, page: int = 10) -> bool:
        """Take a key; return whether it did anything. page: lines that are seen at once."""
        steps = {"up": -1, "down": 1, "pageup": -page, "pagedown": page, "home": -(10**6), "end": 10**6}
        if key in steps:
            self._move(steps[key])
        elif key == "escape" and self.shown != "list":
            self.shown = "list"
        elif key in ("enter", "d", "D") and self.shown == "list" and self._runs:
            self._open("run" if key == "enter" else "drift")
        else:
            return False
        return True

    def _move(self, by: int) -> None:
        if self.shown == "list":
            self._chosen = min(max(self._chosen + by, 0), max(len(self._runs) - 1, 0))
        else:
            self._first = min(max(self._first + by, 0), max(len(self._told) - 1, 0))

    def _open(self, what: Shown) -> None:
        run = self._runs[self._chosen]
        self._told = self._one(run.id) if what == "run" else self._drift(run.machine)
        self._first = 0
        self.shown = what


def row(run: Run) -> str:
    """Return a run on one line, the machine last, where a narrow window cuts it."""
    worst = "" if run.worst_mm is None else f"{mm(run.worst_mm)} mm"
    name = f"{'[simulated] ' if run.simulated else ''}{run.machine}"
    return f"{when(run.created)}  {run.procedure:<7}  {result(run):<21} {worst:>8}  {name}"
