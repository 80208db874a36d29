"""The screen of a running job: what to do now, where, what is known, how far along, and the keys."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from time import monotonic
from typing import Protocol

import msgspec
from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.message import Message

from wizard.actions import Place
from wizard.events import Event
from wizard.facts import Facts
from wizard.flow import FlowError
from wizard.instructions.dispatch import page_of
from wizard.keymap import USUAL, KeyMap
from wizard.requests import AnyAnswer, Outcome, ShowResult, Soak, Warm
from wizard.screens import job_view, roomy
from wizard.screens.bench_desk import BenchDesk
from wizard.screens.job_state import JobState
from wizard.screens.sheets import LEAST_ROOM, Room, Sheet, rows_in
from wizard.screens.sized import SizedScreen
from wizard.screens.step_desk import StepDesk, Used
from wizard.widgets.bed_map import BedMap
from wizard.widgets.entry import Entry
from wizard.widgets.keys_bar import KeysBar
from wizard.widgets.marks import FULL, Marks
from wizard.widgets.page_words import Body, Words, caution_words
from wizard.widgets.panel import Panel
from wizard.widgets.progress import TopRow, progress_words
from wizard.widgets.status_line import StatusLine, moves
from wizard.widgets.theme import ink_for
from wizard.widgets.title import Title
from wizard.widgets.turn_panel import TurnPanel
from wizard.widgets.virtual_bench import VirtualBench


class Drives(Protocol):
    """What the screen uses of a session; `wizard.session.Session` is one."""

    async def run(self) -> Outcome:
        """Do the job."""

    def reply(self, answer: AnyAnswer) -> None:
        """Answer what is asked. Raises ValueError, saying why not."""

    def back(self) -> None:
        """Take the last answer back."""

    def pause(self) -> None:
        """Begin no further step."""

    def go_on(self) -> None:
        """End the pause."""

    def retry(self) -> None:
        """After a fault: try again."""

    def stop(self) -> None:
        """Stop at once."""

    def hang_up(self) -> None:
        """End the job without a stop block: nobody is there any more."""


MakeSession = Callable[[Callable[[Event], None]], Drives]


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
        self._sheets_key: object = None
        self._sheets: tuple[Sheet, ...] = (Sheet(Text()),)

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
            with Vertical(id="side"):
                yield Body(id="caution")
                yield Body(id="body")
                yield TurnPanel(self._marks, id="turns")
                yield Entry(id="entry")
                yield Words(id="choices")
                yield Words(id="bench")
                yield Panel(id="more")
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
            self._show_entry()  # while a figure is being typed, nothing else changes
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
        above = "#bench" if self.has_class("-narrow") else "#caution"
        self.query_one("#side").move_child(self.query_one("#body"), after=self.query_one(above))
        self._show()
        self.call_after_refresh(self._show)  # the room beside the map is known once it is laid out

    def _show(self) -> None:
        """Bring every widget up to what is known. What did not change is not drawn again."""
        state, desk, facts = self.state, self.desk, self.state.facts
        moving = moves(state.live)
        progress = progress_words(state.request, facts, self._marks)
        self.query_one(TopRow).show(facts.machine.name, progress, facts.simulated)
        self.query_one(Title).show(job_view.title_of(state, desk, self._actions), moving)
        self.query_one(StatusLine).show(state.live)
        self.query_one(KeysBar).show(job_view.actions_of(state, desk, self._actions))
        sheet = self._show_side()
        scene = job_view.scene_before(facts) if sheet.before else None
        self.query_one("#map", BedMap).show(scene or job_view.scene_of(state, desk))
        if self.has_class("-roomy"):
            self._show_more()

    def _show_side(self) -> Sheet:
        """Fill what stands beside the map; return the sheet of words that is shown."""
        state, desk = self.state, self.desk
        columns = max(self.query_one("#side").content_size.width, 20)
        caution = job_view.caution_of(state, desk.page)
        self.query_one("#caution", Body).show(caution, partial(caution_words, caution))
        paused = state.flow == "paused"  # no answer is taken then, so no key for one is shown
        keys = Text() if paused else job_view.keys_of(desk, columns, self._bench.lent, self._keys.shown)
        bench = Text() if paused else self._bench.words()
        self.query_one("#choices", Words).show(keys)
        self.query_one("#bench", Words).show(bench)
        turns = self.query_one(TurnPanel)
        turns.display = bool(desk.turns.told)
        turns.show(desk.turns, state.facts.machine)
        entry = self._show_entry()
        self.set_class(entry.display or turns.display, "-full")
        taken = [rows_in(each, columns) for each in (caution_words(caution, columns), keys, bench)]
        taken.append(entry.rows if entry.display else 0)
        return self._show_sheet(columns, sum(taken) + self._gaps(sum(1 for rows in taken[1:] if rows)))

    def _gaps(self, blocks: int) -> int:
        """Return the blank rows between `blocks` under the words."""
        if self.has_class("-narrow"):
            return 0
        return blocks - (1 if self.has_class("-full") and not self.has_class("-roomy") else 0)

    def _show_sheet(self, columns: int, taken: int) -> Sheet:
        """Show the words in what the other things leave of the side; return their sheet."""
        state, desk = self.state, self.desk
        rows = self.query_one("#side").content_size.height - taken
        room = Room(columns, max(rows, LEAST_ROOM), self.has_class("-roomy"))
        key = (job_view.words_key(state, desk.page), room)
        make = partial(job_view.sheets_now, state, desk.page, self._marks, record=self._record)
        if key != self._sheets_key:
            self._sheets_key, self._sheets = key, make(room)
        nth = desk.sheet % len(self._sheets)
        sheet = self._sheets[nth]

        def words(columns: int) -> Text:
            """The words where a layout has made the side wider or slimmer meanwhile."""
            if columns == room.columns:
                return sheet.words
            others = make(msgspec.structs.replace(room, columns=max(columns, 20)))
            return others[nth % len(others)].words

        self.query_one("#body", Body).show((key, nth), words)
        return sheet

    def _show_entry(self) -> Entry:
        """Bring the entry line up to what is typed; return it."""
        desk = self.desk
        entry = self.query_one(Entry)
        typing = desk.typing
        entry.display = typing.open and not desk.skipping and self.state.flow != "paused"
        if entry.display:  # one that goes keeps its words: it might still be painted once more
            entry.show_typing(
                job_view.asked_of(desk),
                typing.text,
                typing.refusal,
                typing.offer,
                job_view.also_of(desk, self._keys.shown),
            )
        return entry

    def _show_more(self) -> None:
        state, facts = self.state, self.state.facts
        before = job_view.scene_before(facts) if isinstance(state.request, ShowResult) else None
        self.set_class(before is not None, "-result")
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
