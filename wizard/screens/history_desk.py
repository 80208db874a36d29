"""What a person does on the screen of records: a list of runs, and what is laid over it. No drawing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Literal, NamedTuple

from wizard.history.listing import SHORT_ID, heading, row, when
from wizard.instructions.figures import counted
from wizard.instructions.fitting import short, wrapped
from wizard.records.run import Run

Shown = Literal["list", "run", "drift", "compared"]
EMPTY = "No runs are on record yet: a levelling makes the first."
ALONE = "This is the only run of its machine: there is none to compare it with."
COLUMNS_APART = "   "
"""What only a row of a table has within it."""

MOST_NAME = 44


class Book(NamedTuple):
    """Where the texts come from, each as lines: a run by its id, the drift of a machine in so many columns,
    two runs by their ids."""

    one: Callable[[str], list[str]]
    drift: Callable[[str, int], list[str]]
    compared: Callable[[str, str], list[str]]


class HistoryDesk:
    """The list and what lies over it. `press` takes a key; `lines` and `at` say what to draw.

    columns, rows: the room for the lines, set by whoever draws them.
    """

    def __init__(self, runs: Sequence[Run], book: Book) -> None:
        self._all = tuple(runs)
        self._book = book
        self._machine = ""
        self._marked: Run | None = None
        self._told: list[str] = []
        self._chosen = 0
        self._first = 0
        self._note = ""
        self.columns, self.rows = 80, 16
        self.shown: Shown = "list"

    @property
    def _runs(self) -> tuple[Run, ...]:
        """Those that are listed: all, or those of one machine."""
        return tuple(run for run in self._all if self._machine in ("", run.machine))

    @property
    def run(self) -> Run | None:
        """The run that the list stands at."""
        runs = self._runs
        return runs[self._chosen] if runs else None

    @property
    def lines(self) -> list[str]:
        """What is shown, a line each; nothing of a text is cut off."""
        if self.shown != "list":
            return list(self._wrapped())
        return [row(run, self.columns) for run in self._runs] or [EMPTY]

    def _wrapped(self) -> list[str]:
        """Break the text at the window's edge; a line stays indented as it is, and a row of a table whole."""
        broken: list[str] = []
        for line in self._told:
            if len(line) <= self.columns or COLUMNS_APART in line.strip():
                broken.append(line)
                continue
            indent = " " * (len(line) - len(line.lstrip()))
            broken += [indent + part for part in wrapped([line], self.columns - len(indent))]
        return broken

    @property
    def head(self) -> str:
        """What stands over the columns of the list."""
        return heading() if self.shown == "list" and self._all else ""

    @property
    def at(self) -> int | None:
        """The line that is chosen; None where none can be."""
        return self._chosen if self.shown == "list" and self._runs else None

    @property
    def marked(self) -> int | None:
        """The line of the run that another is to be compared with."""
        if self._marked is None or self.shown != "list":
            return None
        return self._runs.index(self._marked) if self._marked in self._runs else None

    @property
    def first(self) -> int:
        """The first line that is seen: as far as a text was moved, or so that the chosen run is in sight."""
        if self.shown == "list":
            return max(0, self._chosen - self.rows + 1)
        return min(self._first, self._last_first)

    @property
    def _last_first(self) -> int:
        return max(len(self.lines) - self.rows, 0)

    @property
    def title(self) -> str:
        """One large sentence."""
        run = self.run
        if run is None:
            return "Runs on record: 0."
        if self.shown == "list":
            return self._list_title()
        return {
            "run": f"Run of {when(run.created)} UTC.",
            "drift": f"Drift of {short(run.machine, MOST_NAME)}.",
            "compared": "Two runs compared.",
        }[self.shown]

    def _list_title(self) -> str:
        if self._marked is not None:
            return f"Compare the run of {when(self._marked.created)} with which?"
        if self._machine:
            return f"{counted(len(self._runs), 'run').capitalize()} of {short(self._machine, MOST_NAME)}."
        return f"Runs on record: {len(self._runs)}."

    @property
    def about(self) -> str:
        """The chosen run in full, or why a key did nothing; of a text, which of its lines are seen."""
        if self.shown == "list":
            return self._note or _about(self.run) if self.run else ""
        count = len(self.lines)
        seen = f"lines {self.first + 1} to {min(self.first + self.rows, count)} of {count}"
        return f"All of it is seen: {counted(count, 'line')}." if count <= self.rows else f"{seen}."

    @property
    def hint(self) -> str:
        """Which keys do what."""
        if self.shown != "list":
            run = self.run
            paper = f" On paper: tramwright report {run.id[:SHORT_ID]} -o bed.html" if run else ""
            return f"Up, Down  move    Esc  back{'.' + paper if self.shown == 'run' else ''}"
        if self._marked is not None:
            return "Up, Down  choose    Enter  compare    Esc  leave it"
        only = "all machines" if self._machine else "this machine only"
        return f"Enter  show    d  drift    v  compare with another    m  {only}"

    def press(self, key: str) -> bool:
        """Take a key; return whether it did anything."""
        key, self._note = key.lower(), ""
        page = max(self.rows - 1, 1)
        steps = {"up": -1, "down": 1, "pageup": -page, "pagedown": page, "home": -(10**6), "end": 10**6}
        if key in steps:
            self._move(steps[key])
        elif self.shown != "list":
            return self._close(key)
        elif key == "escape":
            return self._leave_it()
        elif key in ("enter", "d", "v", "m") and self.run is not None:
            self._act(key, self.run)
        else:
            return False
        return True

    def _move(self, by: int) -> None:
        if self.shown == "list":
            self._chosen = min(max(self._chosen + by, 0), max(len(self._runs) - 1, 0))
        else:
            self._first = min(max(self.first + by, 0), self._last_first)

    def _close(self, key: str) -> bool:
        if key != "escape":
            return False
        self.shown, self._marked = "list", None
        return True

    def _leave_it(self) -> bool:
        """Take back what was marked, else the choice of one machine."""
        if self._marked is not None:
            self._marked = None
        elif self._machine and self.run is not None:
            self._only("", self.run)
        else:
            return False
        return True

    def _act(self, key: str, run: Run) -> None:
        if key == "m":
            self._only("" if self._machine else run.machine, run)
        elif key == "d":
            self._open("drift", self._book.drift(run.machine, self.columns))
        elif self._marked is not None:
            self._open("compared", self._book.compared(self._marked.id, run.id))
        elif key == "v":
            self._mark(run)
        else:
            self._open("run", self._book.one(run.id))

    def _mark(self, run: Run) -> None:
        """Choose the run that another is compared with: one of the same machine."""
        if sum(each.machine == run.machine for each in self._all) < 2:
            self._note = ALONE
            return
        self._marked = run
        self._only(run.machine, run)

    def _only(self, machine: str, run: Run) -> None:
        """List the runs of one machine, or of all; the same run stays chosen."""
        self._machine = machine
        self._chosen = self._runs.index(run)

    def _open(self, what: Shown, told: list[str]) -> None:
        self._told, self._first, self.shown = told, 0, what


def _about(run: Run) -> str:
    """Return a run's machine in full, and what else names it."""
    nozzle = f", nozzle {run.nozzle}" if run.nozzle else ""
    simulated = " [simulated]" if run.simulated else ""
    remark = f"; {run.remark}" if run.remark else ""
    return f"Run {run.id[:SHORT_ID]}: {run.machine}{simulated}{nozzle}{remark}"
