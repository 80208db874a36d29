"""The screen of a running job: what to do now, where, what is known, how far along, and the keys."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from time import monotonic

from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.message import Message

from wizard.actions import Place
from wizard.facts import Facts
from wizard.instructions.dispatch import page_of
from wizard.keymap import USUAL, KeyMap
from wizard.requests import AnyAnswer, ShowResult, Soak, Warm
from wizard.running.events import Event
from wizard.running.flow import FlowError
from wizard.screens import job_view
from wizard.screens.bench_desk import BenchDesk
from wizard.screens.drives import Drives
from wizard.screens.job_side import Side
from wizard.screens.job_state import JobState
from wizard.screens.sized import SizedScreen
from wizard.screens.step_desk import StepDesk, Used
from wizard.widgets.bed_map import BedMap
from wizard.widgets.keys_bar import KeysBar
from wizard.widgets.marks import FULL, Marks
from wizard.widgets.panel import Panel
from wizard.widgets.progress import TopRow, progress_words
from wizard.widgets.status_line import StatusLine, moves
from wizard.widgets.theme import ink_for
from wizard.widgets.title import Title
from wizard.widgets.virtual_bench import VirtualBench


class Told(Message):
    """One event of the session, on its way to the handler that changes the screen's state."""

    def __init__(self, event: Event) -> None:
        super().__init__()
        self.event = event


class JobScreen(SizedScreen):
    """Shows one job and sends the person's answers."""

    def __init__(
        self,
        facts: Facts,
        bench: VirtualBench | None = None,
        marks: Marks = FULL,
        keys: KeyMap = USUAL,
        record: str = "",
    ) -> None:
        super().__init__(keys.actions)
        self.state = JobState(facts)
        self.session: Drives | None = None
        self._marks = marks
        self._keys = keys
        self._bench = BenchDesk(bench, facts.machine, marks, keys.shown)
        self.desk = StepDesk()
        self._answered = False
        self._record = record

    def compose(self) -> ComposeResult:
        """The rows from top to bottom."""
        yield self.too_small()
        yield TopRow(self._marks, id="top")
        yield Title(self._marks, id="title")
        with Horizontal(id="middle"):
            with Vertical(id="left"):
                with Horizontal(id="maps"):
                    yield BedMap(self._marks, id="before")
                    yield BedMap(self._marks, id="map")
                yield Panel(id="under")
            yield Side(self._marks, self._keys, self._record, id="side")
            yield Panel(id="beside")
        yield StatusLine(id="status")
        yield KeysBar(id="keys")

    def listener(self, event: Event) -> None:
        """Take an event from the session: it goes into the queue and is handled in its turn."""
        self.post_message(Told(event))

    def on_mount(self) -> None:
        """Show the empty bed before anything is known."""
        self._show()

    def on_told(self, message: Told) -> None:
        """Fold one event into the state and show what changed."""
        waited = isinstance(self.state.request, Warm | Soak)
        if self.state.take(message.event, monotonic()):
            if waited:
                self.app.bell()  # whoever went away during a long wait is called back
            self._begin_step()
        self._show()

    def _begin_step(self) -> None:
        page = page_of(self.state.request, self.state.facts)
        hundredths = self.desk.hundredths
        self.desk = StepDesk(self.state.request, page, self._bench.turned)
        self.desk.hundredths = hundredths
        self._bench.begin(self.state.request, self.state.facts.answers)
        self._answered = False
        self.state.refusal = ""

    def on_key(self, event: events.Key) -> None:
        """Give a key to the virtual bench and to the step; what neither uses is a common key."""
        if self.state.flow == "paused" or self._answered:
            return  # a key hit twice does not answer the next step
        key = self._keys.meant(event.key)
        if not self.desk.typing.text and self._bench.press(key):
            self.desk.offer(self._bench.offer)
            used: AnyAnswer | Used = Used.YES
        else:
            used = self.desk.press(key, event.character)
        if used is Used.NO:
            return
        event.stop()
        event.prevent_default()
        if not isinstance(used, Used):
            self._bench.answered(used)
            self._answered = self.ask(lambda session: session.reply(used))
        elif self.desk.typing.open and self.desk.typing.text:
            # While a figure is being typed, nothing else changes.
            self.query_one(Side).show_entry(self.state, self.desk)
            return
        self._show()

    @property
    def place(self) -> Place:
        """Which keys work now."""
        return job_view.place_of(self.state, self.desk)

    def ask(self, what: Callable[[Drives], None]) -> bool:
        """Ask the session for something; return whether it took it. What it refuses is told in place."""
        if self.session is None:
            return False
        self.state.refusal = ""
        try:
            what(self.session)
        except (ValueError, FlowError) as why:
            self.state.refusal = str(why)
        self._show()
        return not self.state.refusal

    def resized(self) -> None:
        """Fill anew what depends on the size; in a small window the answer comes before the explanation."""
        self.query_one(Side).put_in_order()
        self._show()

    def on_side_changed(self) -> None:
        """Fill the new room beside the map: it is known only once the rest is laid out."""
        self._show()

    def _show(self) -> None:
        """Bring every widget up to what is known. What did not change is not drawn again."""
        state, desk, facts = self.state, self.desk, self.state.facts
        moving = moves(state.live)
        progress = progress_words(state.request, facts, self._marks)
        self.query_one(TopRow).show(facts.machine.name, progress, facts.simulated)
        self.query_one(Title).show(job_view.title_of(state, desk, self._actions), moving)
        self.query_one(StatusLine).show(state.live)
        self.query_one(KeysBar).show(job_view.actions_of(state, desk, self._actions))
        sheet = self.query_one(Side).show(state, desk, self._bench)
        scene = job_view.scene_before(facts) if sheet.before else None
        roomy = self.has_class("-roomy")
        self.query_one("#map", BedMap).show(scene or job_view.scene_of(state, desk, beside=roomy))
        if roomy:
            self._show_more()

    def _show_more(self) -> None:
        """Fill what only a roomy window has; a smaller one never loads it."""
        from wizard.screens import roomy

        state, facts = self.state, self.state.facts
        at_the_end = isinstance(state.request, ShowResult)
        before = job_view.scene_before(facts) if at_the_end else None
        self.set_class(at_the_end, "-result")
        drawn = self.query_one("#before", BedMap)
        drawn.display = before is not None
        if before is not None:
            drawn.show(before)
        pen = roomy.Pen(self._marks, ink_for(self))
        self.query_one("#under", Panel).show(
            (roomy.panel_key(state, ()), self.app.theme),
            lambda columns: roomy.section_blocks(state, columns, roomy.SECTION_ROWS, pen),
        )
        vast = self.has_class("-vast")
        self.query_one("#more").display = not self.desk.turns.told and not vast
        panel = self.query_one("#beside" if vast else "#more", Panel)
        news = roomy.news_of(list(state.lines)[-roomy.SEARCHED_LINES :])
        make = partial(roomy.blocks_of, state, news, pen, vast)
        panel.show((roomy.panel_key(state, news), self.app.theme), make)
