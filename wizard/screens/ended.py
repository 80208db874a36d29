"""The screens that lie over a job once it cannot go on: stopped by the person, or a fault."""

from __future__ import annotations

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Vertical

from wizard.actions import ACTIONS, Action, Place, actions_at
from wizard.events import Faulted
from wizard.instructions import fault_page
from wizard.instructions.fitting import sentences
from wizard.screens.sized import SizedScreen
from wizard.widgets.keys_bar import KeysBar
from wizard.widgets.marks import FULL, Marks
from wizard.widgets.page_words import Words
from wizard.widgets.title import Title

_STOPPING = (
    "The stop went out to the machine at once.",
    "Heaters are being switched off; the nozzle is lifted where its place is known.",
    "Look at the machine. If anything still moves, switch its power off.",
)
_STOPPED = (
    "The stop went out to the machine; the line is closed.",
    "Heaters were told to go off. Plate and nozzle stay hot for many minutes.",
    "The nozzle was lifted only where its place was known.",
)
_KEPT = "Every answer is kept. To go on later: the same command with --resume."


class EndedScreen(SizedScreen):
    """One sentence, what it means, and the keys."""

    place: Place = "stopped"

    def __init__(self, marks: Marks = FULL, actions: tuple[Action, ...] = ACTIONS) -> None:
        super().__init__(actions)
        self._marks = marks

    def compose(self) -> ComposeResult:
        """Title, words, keys."""
        yield self.too_small()
        yield Title(self._marks, id="title", large=True)
        with Vertical(classes="reading"):
            yield Words(id="body")
        yield KeysBar(id="keys")

    def on_mount(self) -> None:
        """Show what is known."""
        self.show()

    def show(self) -> None:
        """Bring the words up to what is known."""
        self.query_one(Title).show(self.title_words(), moving=False)
        self.query_one("#body", Words).show(self.body_words())
        self.query_one(KeysBar).show(actions_at(self.place, self._actions))

    def title_words(self) -> str:
        """Return the sentence."""
        raise NotImplementedError

    def body_words(self) -> Text:
        """Return what it means and what to do next."""
        raise NotImplementedError


class StoppedScreen(EndedScreen):
    """The stop, confirmed: first as sent, then, once the session has ended, as done."""

    place: Place = "stopped"

    def __init__(
        self, marks: Marks = FULL, actions: tuple[Action, ...] = ACTIONS, *, resumes: bool = True
    ) -> None:
        super().__init__(marks, actions)
        self.ended = False
        self._resumes = resumes

    def now_ended(self) -> None:
        """The session has ended: say so."""
        self.ended = True
        self.show()

    def title_words(self) -> str:
        """Return the sentence."""
        return "Stopped." if self.ended else "Stopping the machine."

    def body_words(self) -> Text:
        """Return what was done."""
        if not self.ended:
            return Text("\n\n".join(_STOPPING))
        return Text("\n\n".join((*_STOPPED, _KEPT) if self._resumes else _STOPPED))


class FaultScreen(EndedScreen):
    """A fault of the machine or the line, with the last lines exchanged, literally."""

    place: Place = "fault"

    def __init__(
        self,
        fault: Faulted,
        can_retry: bool,
        marks: Marks = FULL,
        actions: tuple[Action, ...] = ACTIONS,
    ) -> None:
        kept = actions if can_retry else tuple(each for each in actions if each.name != "retry")
        super().__init__(marks, kept)
        self._page = fault_page(fault.kind, fault.text, fault.exchange)

    def title_words(self) -> str:
        """Return the sentence."""
        return self._page.title

    def body_words(self) -> Text:
        """Return what happened and what to do, then the lines."""
        words = Text("\n\n".join(sentences(self._page.body)))
        if self._page.caution:
            words.append("\n\n")
            words.append("CAUTION", "bold reverse")
            words.append(f" {self._page.caution}", "bold")
        if self._page.table:
            words.append("\n\nThe last lines, > sent, < received:")
        for line in self._page.table:
            words.append(f"\n  {line}")
        return words
