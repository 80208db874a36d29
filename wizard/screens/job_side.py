"""What stands beside the map: caution, words or turns, the entry line, the keys that answer."""

from __future__ import annotations

from functools import partial

import msgspec
from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.message import Message

from wizard.keymap import KeyMap
from wizard.screens import job_view
from wizard.screens.bench_desk import BenchDesk
from wizard.screens.job_state import JobState
from wizard.screens.sheets import LEAST_ROOM, Room, Sheet, rows_in
from wizard.screens.step_desk import StepDesk
from wizard.widgets.entry import Entry
from wizard.widgets.marks import Marks
from wizard.widgets.page_words import Body, Words, caution_words
from wizard.widgets.panel import Panel
from wizard.widgets.turn_panel import TurnPanel


class Side(Vertical):
    """Tells when its own room changes, as the words are made for it."""

    class Changed(Message):
        """The room has changed."""

    def __init__(self, marks: Marks, keys: KeyMap, record: str, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._marks = marks
        self._shown = keys.shown
        self._record = record
        self._sheets_key: object = None
        self._sheets: tuple[Sheet, ...] = (Sheet(Text()),)

    def compose(self) -> ComposeResult:
        """The blocks from top to bottom."""
        yield Body(id="caution")
        yield Body(id="body")
        yield TurnPanel(self._marks, id="turns")
        yield Entry(id="entry")
        yield Words(id="choices")
        yield Words(id="bench")
        yield Panel(id="more")

    def on_resize(self) -> None:
        """Tell of it."""
        self.post_message(self.Changed())

    def put_in_order(self) -> None:
        """In a small window the answer comes before the explanation."""
        above = "#bench" if self.screen.has_class("-narrow") else "#caution"
        self.move_child(self.query_one("#body"), after=self.query_one(above))

    def show(self, state: JobState, desk: StepDesk, bench: BenchDesk) -> Sheet:
        """Fill every block; return the sheet of words that is shown."""
        columns = max(self.content_size.width, 20)
        caution = job_view.caution_of(state, desk.page)
        self.query_one("#caution", Body).show(caution, partial(caution_words, caution))
        paused = state.flow == "paused"  # no answer is taken then, so no key for one is shown
        keys = Text() if paused else job_view.keys_of(desk, columns, bench.lent, self._shown)
        lent = Text() if paused else bench.words()
        self.query_one("#choices", Words).show(keys)
        self.query_one("#bench", Words).show(lent)
        turns = self.query_one(TurnPanel)
        turns.display = bool(desk.turns.told)
        turns.show(desk.turns, state.facts.machine)
        entry = self.show_entry(state, desk)
        self.screen.set_class(entry.display or turns.display, "-full")
        taken = [rows_in(each, columns) for each in (caution_words(caution, columns), keys, lent)]
        taken.append(entry.rows if entry.display else 0)
        blanks = self._blanks(sum(1 for rows in taken[1:] if rows))
        return self._show_sheet(state, desk, columns, sum(taken) + blanks)

    def _blanks(self, blocks: int) -> int:
        """Return the blank rows between `blocks` under the words."""
        if self.screen.has_class("-narrow"):
            return 0
        return blocks - (1 if self.screen.has_class("-full") and not self.screen.has_class("-roomy") else 0)

    def _show_sheet(self, state: JobState, desk: StepDesk, columns: int, taken: int) -> Sheet:
        """Show the words in the rows that are not `taken`; return their sheet."""
        rows = max(self.content_size.height - taken, LEAST_ROOM)
        room = Room(columns, rows, self.screen.has_class("-roomy"))
        key = (job_view.words_key(state, desk.page), room)
        record = "" if state.unrecorded else self._record
        make = partial(job_view.sheets_now, state, desk.page, self._marks, record=record)
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

    def show_entry(self, state: JobState, desk: StepDesk) -> Entry:
        """Bring the entry line up to what is typed; return it."""
        entry = self.query_one(Entry)
        typing = desk.typing
        entry.display = typing.open and not desk.skipping and state.flow != "paused"
        if entry.display:  # one that goes keeps its words: it might still be painted once more
            asked, also = job_view.asked_of(desk), job_view.also_of(desk, self._shown)
            entry.show_typing(asked, typing.text, typing.refusal, typing.offer, also)
        return entry
