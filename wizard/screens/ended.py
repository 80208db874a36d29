"""The screens that lie over a job once it cannot go on: stopped by the person, or a fault."""

from __future__ import annotations

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Vertical

from drivers.interface import Stopped
from wizard.actions import ACTIONS, Action, Place, actions_at
from wizard.instructions import fault_page
from wizard.instructions.fitting import sentences
from wizard.instructions.stopping import stop_body, stop_title
from wizard.running.events import Faulted
from wizard.screens.sized import SizedScreen
from wizard.widgets.keys_bar import KeysBar
from wizard.widgets.marks import FULL, Marks
from wizard.widgets.page_words import Words
from wizard.widgets.title import Title


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
    """The stop: whether it went out, whether the machine has confirmed it, and whether the job has ended."""

    place: Place = "stopped"

    def __init__(
        self,
        marks: Marks = FULL,
        actions: tuple[Action, ...] = ACTIONS,
        *,
        stopped: Stopped = "",
        resumes: bool = True,
    ) -> None:
        super().__init__(marks, actions)
        self.ended = False
        self._stopped: Stopped = stopped
        self._resumes = resumes

    def now_ended(self) -> None:
        """The session has ended: say so."""
        self.ended = True
        self.show()

    def told(self, stopped: Stopped) -> None:
        """The stop has got further."""
        if stopped != self._stopped:
            self._stopped = stopped
            self.show()

    def title_words(self) -> str:
        """Return the sentence."""
        return stop_title(self._stopped, ended=self.ended)

    def body_words(self) -> Text:
        """Return what is known of it."""
        return Text("\n\n".join(stop_body(self._stopped, ended=self.ended, resumes=self._resumes)))


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
