"""What a person does on the screen of records: a list of runs, and what is laid over it. No drawing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Literal, NamedTuple

from wizard.history.listing import SHORT_ID, heading, row, when
from wizard.instructions.figures import counted
from wizard.instructions.fitting import short
from wizard.records.opening import RecordsError
from wizard.records.run import Run
from wizard.screens.long_text import LongText

Shown = Literal["list", "run", "drift", "compared"]
EMPTY = "No runs are on record yet: a levelling makes the first."
ALONE = "This is the only run of its machine: there is none to compare it with."
NOT_HERE = "Shared records take no remarks: add one where the run was made."
MOST_NAME = 44
MOST_TYPED = 200
MOST_SEEN = 55


class Book(NamedTuple):
    """Where the texts come from, each as lines; all may raise RecordsError.

    one: a run by its id. drift: of a machine, in so many columns. compared: two runs by their ids. remark:
    adds words to a run and returns it as it is then; None where that cannot be.
    """

    one: Callable[[str], list[str]]
    drift: Callable[[str, int], list[str]]
    compared: Callable[[str, str], list[str]]
    remark: Callable[[str, str], Run] | None = None


class HistoryDesk:
    """The list and what lies over it. `press` takes a key; `lines` and `at` say what to draw.

    book: where texts come from. text: what lies over the list; whoever draws sets its columns and rows, which
    are the list's, too.
    typed: the remark that is being typed, None while none is.
    """

    def __init__(self, runs: Sequence[Run], book: Book) -> None:
        self._all = tuple(runs)
        self.book = book
        self._machine = ""
        self._marked: Run | None = None
        self._chosen = 0
        self._note = ""
        self.text = LongText()
        self.typed: str | None = None
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
        """What is shown, a line each."""
        if self.shown != "list":
            return self.text.lines
        return [row(run, self.text.columns) for run in self._runs] or [EMPTY]

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
        return max(0, self._chosen - self.text.rows + 1) if self.shown == "list" else self.text.first

    @property
    def title(self) -> str:
        """One large sentence."""
        run = self.run
        if run is None:
            return "Runs on record: 0."
        if self.typed is not None:
            return "Type the remark, then Enter."
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
        if self.typed is not None:
            return f"{self.typed[-MOST_SEEN:]}_"
        if self.shown == "list":
            return self._note or (_about(self.run) if self.run else "")
        return self._note or self.text.seen

    @property
    def hint(self) -> str:
        """Which keys do what."""
        if self.typed is not None:
            return "Enter  keep it with the run    Esc  leave it"
        if self.shown != "list":
            run = self.run
            paper = f" On paper: tramwright report {run.id[:SHORT_ID]} -o bed.html" if run else ""
            return f"Up, Down  move    Esc  back{'.' + paper if self.shown == 'run' else ''}"
        if self._marked is not None:
            return "Up, Down  choose    Enter  compare    Esc  leave it"
        if self.run is None:
            return "tramwright level PROFILE  makes the first"
        only = "all machines" if self._machine else "this machine only"
        return f"Enter  show    d  drift    v  compare    r  remark    m  {only}"

    def press(self, key: str, character: str | None = None) -> bool:
        """Take a key; return whether it did anything. character: what it types."""
        self._note = ""
        try:
            return self._press(key, character)
        except RecordsError as error:
            self._note = str(error)
            return True

    def _press(self, key: str, character: str | None) -> bool:
        if self.typed is not None and self.run is not None:
            return self._type(self.typed, key, character, self.run)
        key, page = key.lower(), max(self.text.rows - 1, 1)
        steps = {"up": -1, "down": 1, "pageup": -page, "pagedown": page, "home": -(10**6), "end": 10**6}
        if key in steps:
            self._move(steps[key])
        elif self.shown != "list":
            return self._close(key)
        elif key == "escape":
            return self._leave_it()
        elif key in ("enter", "d", "v", "r", "m") and self.run is not None:
            self._act(key, self.run)
        else:
            return False
        return True

    def _type(self, typed: str, key: str, character: str | None, run: Run) -> bool:
        """Take a key while a remark is typed."""
        if key == "escape":
            self.typed = None
        elif key == "enter":
            self.typed = None
            self._keep(typed.strip(), run)
        elif key == "backspace":
            self.typed = typed[:-1]
        elif character is not None and len(character) == 1 and character.isprintable():
            self.typed = (typed + character)[:MOST_TYPED]
        else:
            return False
        return True

    def _keep(self, typed: str, run: Run) -> None:
        """Add what was typed to the run."""
        if typed and self.book.remark is not None:
            told = self.book.remark(run.id, typed)
            self._all = tuple(told if each.id == run.id else each for each in self._all)

    def _move(self, by: int) -> None:
        if self.shown == "list":
            self._chosen = min(max(self._chosen + by, 0), max(len(self._runs) - 1, 0))
        else:
            self.text.move(by)

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
            self._open("drift", self.book.drift(run.machine, self.text.columns))
        elif self._marked is not None:
            self._open("compared", self.book.compared(self._marked.id, run.id))
        elif key == "v":
            self._mark(run)
        elif key == "r":
            self.typed, self._note = (None, NOT_HERE) if self.book.remark is None else ("", "")
        else:
            self._open("run", self.book.one(run.id))

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
        self.text.show(told)
        self.shown = what


def _about(run: Run) -> str:
    """Return a run's machine in full, and what else names it."""
    nozzle = f", nozzle {run.nozzle}" if run.nozzle else ""
    simulated = " [simulated]" if run.simulated else ""
    remark = f"; {run.remark}" if run.remark else ""
    return f"Run {run.id[:SHORT_ID]}: {run.machine}{simulated}{nozzle}{remark}"
