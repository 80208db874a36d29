"""The top row: whose job it is, how far along it is, and, always, whether the printer is simulated."""

from __future__ import annotations

import textwrap

from rich.text import Text
from textual.widgets import Static

from wizard.facts import Facts
from wizard.requests import Feel, TakeReading
from wizard.widgets.marks import FULL, Marks

SIMULATED = "SIMULATED PRINTER"
_PHASES = {"first": "first readings", "adjust": "adjusting", "verify": "proof"}


def progress_words(request: object, facts: Facts, marks: Marks) -> str:
    """Return round and point of the step, with one mark a point; "" before the first round."""
    if isinstance(request, TakeReading | Feel):
        bar = marks.done * request.nth + marks.to_do * max(request.total - request.nth, 0)
        return f"Round {request.round}, {_PHASES[request.phase]}  {bar} {request.nth} of {request.total}"
    rounds = len(facts.rounds)
    return f"Round {rounds}" if rounds else "Getting ready"


class TopRow(Static):
    """Shows name, label and progress in one row."""

    def __init__(self, marks: Marks = FULL, *, id: str | None = None) -> None:
        super().__init__("", id=id, markup=False)
        self._marks = marks
        self._parts = ("", "", False)

    def show(self, name: str, progress: str, simulated: bool) -> None:
        """Show other parts; equal ones cost nothing."""
        if (name, progress, simulated) != self._parts:
            self._parts = (name, progress, simulated)
            self.refresh()

    def render(self) -> Text:
        """The row for the present width: the name gives way first, the label never."""
        name, progress, simulated = self._parts
        columns = max(self.size.width, 20)
        label = f" {SIMULATED} " if simulated else ""
        room = columns - len(label) - len(progress) - 3
        row = Text(no_wrap=True, end="")
        row.append(label, "bold reverse")
        row.append(
            (" " + textwrap.shorten(name, max(room - 1, 3), placeholder="...")).ljust(room)[: max(room, 0)]
        )
        row.append(progress.rjust(columns - len(row) - 1)[-max(columns - len(row) - 1, 0) :], "bold")
        return row
