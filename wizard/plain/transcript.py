"""Events of a session as lines of text. Used where a person answers and where a virtual hand does."""

from __future__ import annotations

from collections.abc import Callable
from functools import singledispatchmethod

from drivers.interface import Status, Stopped, Temperatures
from profiles.faults import printable
from wizard.instructions import Page, answer_words, fault_page, page, working
from wizard.instructions.ending import finished_sentence
from wizard.instructions.fitting import sentences, wrapped
from wizard.instructions.stopping import stop_body, stop_title
from wizard.instructions.stored import stored_sentences
from wizard.keymap import USUAL, KeyMap
from wizard.plain.text import answers, caution_of, labelled, told
from wizard.requests import ByPerson, Done, ShowChange, ShowResult, Soak
from wizard.running.events import (
    Answered,
    Asked,
    Event,
    Faulted,
    Finished,
    LineSeen,
    Notice,
    PrintTick,
    SoakTick,
    StateChanged,
    StatusChanged,
    Working,
)

STEP_C = 10.0
TENTHS = 10
STATES = {
    "paused": "Paused: nothing new begins. Type go on, or stop.",
    "stopped": "Stopped. What is hot stays hot for many minutes.",
}


class Transcript:
    """Call it with events; it says them. `keys`: by which keys; None where nobody types.

    record: where the record of the run is kept; "" where it is not.
    """

    def __init__(self, say: Callable[[str], None], *, keys: KeyMap | None = USUAL, record: str = "") -> None:
        self.show_lines = False
        self._say = say
        self._keys = keys
        self._record = record
        self._told_c: tuple[int | None, int | None] = (None, None)
        self._told_tenth = 0
        self._told_minutes = -1
        self._stopped: Stopped = ""

    def __call__(self, event: Event) -> None:
        """Say what there is to say of one event."""
        self._tell(event)

    def _lines(self, *lines: str) -> None:
        for line in lines:
            self._say(line)

    def _kept(self, event: Asked) -> tuple[str, ...]:
        """Return what was changed and stored, and where the record is."""
        where = f"The record: {self._record}" if self._record else ""
        rows = wrapped((*stored_sentences(event.facts), where))
        return tuple(f"  {row}" for row in rows)

    def _answers(self, shown: Page) -> tuple[str, ...]:
        return answers(shown, self._keys) if self._keys else ()

    @singledispatchmethod
    def _tell(self, event: object) -> None:
        """Events that nobody needs to hear of."""

    @_tell.register
    def _(self, event: Asked) -> None:
        asked = page(event.request, event.facts)
        kept = self._kept(event) if isinstance(event.request, ShowResult | ShowChange) else ()
        self._lines(*told(asked, event.facts), *kept, *self._answers(asked))

    @_tell.register
    def _(self, event: Working) -> None:
        doing = working(event.request, event.facts)
        title = labelled(doing.title, event.facts)
        why = wrapped(sentences(doing.body)) if isinstance(event.request, Soak) else ()
        told_why = (f"    {line}" for line in why)
        self._lines(f"... {title} {caution_of(doing)}".rstrip(), *told_why, *self._answers(doing))
        self._told_minutes = -1

    @_tell.register
    def _(self, event: Answered) -> None:
        words = printable(answer_words(event.answer))
        if isinstance(event.request, ByPerson) or not isinstance(event.answer, Done) or event.answer.note:
            self._lines(f"  -> {words}")

    @_tell.register
    def _(self, event: StateChanged) -> None:
        if event.after in STATES:
            self._lines(STATES[event.after])
        elif event.before == "paused":
            self._lines("Going on.")

    def end(self) -> None:
        """The session is over: say whether a stop was confirmed, where that is not clear yet."""
        if self._stopped in ("written", "not written"):
            self._lines(stop_title(self._stopped, ended=True), *stop_body(self._stopped, ended=True)[:2])

    @_tell.register
    def _(self, event: StatusChanged) -> None:
        if event.status.stopped != self._stopped:
            self._stopped = event.status.stopped
            if self._stopped:
                self._lines(stop_title(self._stopped, ended=False))
        now = event.status.temperatures
        steps = (_step(now.bed_c), _step(now.nozzle_c))
        if steps != self._told_c and (now.bed_target_c or now.nozzle_target_c):
            self._told_c = steps
            self._lines(f"    {temperature_words(now)}")

    @_tell.register
    def _(self, event: LineSeen) -> None:
        if self.show_lines:
            self._lines(f"    {event.record.direction} {printable(event.record.text)}")

    @_tell.register
    def _(self, event: SoakTick) -> None:
        minutes = -int(-event.left_s // 60)
        if minutes != self._told_minutes and minutes:
            self._lines(f"    {minutes} min left")
        self._told_minutes = minutes

    @_tell.register
    def _(self, event: PrintTick) -> None:
        tenth = TENTHS * event.done // max(event.total, 1)
        if tenth != self._told_tenth and event.done < event.total:
            minutes, seconds = divmod(round(event.left_s), 60)
            self._lines(f"    {10 * tenth} % printed, {minutes}:{seconds:02d} min left")
        self._told_tenth = tenth

    @_tell.register
    def _(self, event: Faulted) -> None:
        fault = fault_page(event.kind, event.text, event.exchange)
        caution = (f"  Caution: {fault.caution}",) if fault.caution else ()
        self._lines("", fault.title, *(f"  {line}" for line in (*fault.body, *fault.table)), *caution)
        if self._keys:
            self._lines("  type try again: connect, home, go on at the same step", "  type stop: end the job")

    @_tell.register
    def _(self, event: Notice) -> None:
        self._lines(*wrapped((f"Note: {event.text}",)))
        if event.unrecorded:
            self._record = ""

    @_tell.register
    def _(self, event: Finished) -> None:
        self._lines(finished_sentence(event.outcome))


def _step(celsius: float | None) -> int | None:
    return None if celsius is None else round(celsius / STEP_C)


def temperature_words(now: Temperatures) -> str:
    """Return both temperatures with what is wanted, degrees Celsius."""
    parts = (("plate", now.bed_c, now.bed_target_c), ("nozzle", now.nozzle_c, now.nozzle_target_c))
    words = [
        f"{what} {is_c:.0f}{f' of {wanted_c:.0f}' if wanted_c else ''}"
        for what, is_c, wanted_c in parts
        if is_c is not None
    ]
    return f"{', '.join(words)} degrees C" if words else "temperatures not known"


def status_words(status: Status) -> str:
    """Return a status on one line: position, moving or still, temperatures, what had to be sent again."""
    at = "position not known"
    if status.position_mm is not None:
        at = "at X {:.1f}, Y {:.1f}, Z {:.2f} mm".format(*status.position_mm)
    moving = "moving: hands clear" if status.moving else "still"
    return f"{at}; {moving}; {temperature_words(status.temperatures)}; {status.resends} sent again"
