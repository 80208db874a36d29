"""Help: every key of the registry and every mark of the drawing."""

from __future__ import annotations

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from wizard.actions import ACTIONS, Action, Place, actions_at, shown
from wizard.screens.sized import SizedScreen
from wizard.widgets.keys_bar import KeysBar
from wizard.widgets.marks import FULL, Marks
from wizard.widgets.page_words import Words
from wizard.widgets.title import Title


class HelpScreen(SizedScreen):
    """Lies over any other screen; Esc closes it. The job below goes on."""

    place: Place = "help"

    def __init__(self, place: Place, marks: Marks = FULL, actions: tuple[Action, ...] = ACTIONS) -> None:
        super().__init__()
        self._place = place
        self._marks = marks
        self._actions = actions

    def compose(self) -> ComposeResult:
        """Keys at the left, marks at the right."""
        yield self.too_small()
        yield Title(self._marks, id="title")
        with Horizontal(classes="reading"):
            with Vertical(classes="half"):
                yield Words(id="keys-told")
            with Vertical(classes="half"):
                yield Words(id="marks-told")
        yield KeysBar(id="keys")

    def on_mount(self) -> None:
        """Fill in the words."""
        self.query_one(Title).show("Keys and marks. Esc closes this.", moving=False)
        self.query_one("#keys-told", Words).show(keys_told(self._place, self._actions))
        self.query_one("#marks-told", Words).show(marks_told(self._marks))
        self.query_one(KeysBar).show(actions_at("help", self._actions))


def keys_told(place: Place, actions: tuple[Action, ...]) -> Text:
    """Return each key that works at a place, with its sentence."""
    words = Text()
    for action in (each for each in actions_at(place, actions) if each.label):
        words.append("\n" if len(words) else "")
        words.append(f" {shown(action.key)} ", "bold reverse")
        words.append(f" {action.help}")
    return words


def marks_told(marks: Marks) -> Text:
    """Return each mark of the bed's drawing with its meaning."""
    here = marks.here_left + marks.read + marks.here_right
    told = (
        (marks.nozzle, "the nozzle"),
        (here, "the step is about this place"),
        (marks.unread, "a point still to be read"),
        (marks.read, "a point that was read"),
        (f"{marks.ring_left} {marks.ring_right}", "an adjuster"),
        (marks.clockwise, "turn clockwise, seen from its side"),
        (marks.counter, "turn anticlockwise"),
        (marks.ticked, "turned"),
        (f"0.10-.15 {marks.within}", "gap in mm; surely within tolerance"),
        (f"0.30-.40 {marks.wide}", "surely too wide"),
        (f"<0.05 {marks.narrow}", "surely too narrow"),
        (f"0.17{marks.plus_minus}.04 ?", "computed gap, U = 2u; not decided"),
    )
    wide = max(len(mark) for mark, _ in told)
    words = Text()
    for mark, meaning in told:
        words.append("\n" if len(words) else "")
        words.append(mark.rjust(wide), "bold")
        words.append(f"  {meaning}")
    return words
