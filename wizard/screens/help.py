"""Help: every key of the registry and every mark of the drawing."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from functools import partial

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from wizard.actions import ACTIONS, Action, Place, actions_at, shown
from wizard.screens.sized import SizedScreen
from wizard.widgets.keys_bar import KeysBar
from wizard.widgets.marks import FULL, Marks
from wizard.widgets.page_words import Body
from wizard.widgets.title import Title


class HelpScreen(SizedScreen):
    """Lies over any other screen; Esc closes it. The job below goes on."""

    place: Place = "help"

    def __init__(self, place: Place, marks: Marks = FULL, actions: tuple[Action, ...] = ACTIONS) -> None:
        super().__init__(actions)
        self._place = place
        self._marks = marks

    def compose(self) -> ComposeResult:
        """Keys at the left, marks at the right."""
        yield self.too_small()
        yield Title(self._marks, id="title", large=False)
        with Horizontal(classes="reading"):
            with Vertical(classes="half"):
                yield Body(id="keys-told")
            with Vertical(classes="half"):
                yield Body(id="marks-told")
        yield KeysBar(id="keys")

    def on_mount(self) -> None:
        """Fill in the words."""
        self.query_one(Title).show("Keys and marks. Esc closes this.", moving=False)
        keys = [(shown(a.key), a.help) for a in actions_at(self._place, self._actions) if a.label]
        self.query_one("#keys-told", Body).show("keys", partial(told_rows, keys, "bold reverse"))
        self.query_one("#marks-told", Body).show("marks", partial(told_rows, marks_told(self._marks), "bold"))
        self.query_one(KeysBar).show(actions_at("help", self._actions))


def told_rows(told: Sequence[tuple[str, str]], style: str, columns: int) -> Text:
    """Return each key or mark with its meaning beside it."""
    wide = max(len(each) for each, _ in told)
    words = Text()
    for each, meaning in told:
        lines = textwrap.wrap(meaning, max(columns - wide - 5, 10))
        words.append("\n" if words else "")
        words.append(" " * (wide - len(each)))
        words.append(f" {each} ", style)
        words.append(("\n" + " " * (wide + 4)).join(["  " + lines[0], *lines[1:]]))
    return words


def marks_told(marks: Marks) -> list[tuple[str, str]]:
    """Return each mark of the bed's drawing with its meaning."""
    here = marks.here_left + marks.read + marks.here_right
    return [
        (marks.nozzle, "the nozzle"),
        (here, "the step is about this place"),
        (marks.unread, "a point still to be read"),
        (marks.read, "a point that was read"),
        (f"{marks.ring_left} {marks.ring_right}", "an adjuster"),
        (marks.clockwise, "clockwise, seen from its side"),
        (marks.counter, "anticlockwise"),
        (marks.ticked, "turned"),
        (f"0.10-.15 {marks.within}", "gap in mm, in tolerance"),
        (f"0.30-.40 {marks.wide}", "too wide for certain"),
        (f"<0.05 {marks.narrow}", "too narrow for certain"),
        (f"0.17{marks.plus_minus}.04 ?", "computed, U = 2u; open"),
    ]
