"""From what the job's screen knows to what its widgets show. Pure."""

from __future__ import annotations

from collections.abc import Callable

from rich.text import Text

from profiles.machine import XY, Adjuster, Machine
from wizard.actions import Action, Place, actions_at, key_of
from wizard.facts import Facts
from wizard.instructions.page import Page
from wizard.instructions.stored import is_changed
from wizard.instructions.turns import short_turn, turn_words
from wizard.requests import (
    Feel,
    JudgePad,
    LookForDaylight,
    MoveByHand,
    PrintLayer,
    ShowChange,
    ShowResult,
    Soak,
    TakeReading,
    Turn,
    TurnEndstop,
    Warm,
)
from wizard.screens.job_state import JobState
from wizard.screens.sheets import Room, Sheet, history_words, kept_words, sheets_of
from wizard.screens.step_desk import HUNDREDTHS_KEY, StepDesk
from wizard.widgets.marks import Marks
from wizard.widgets.page_words import (
    body_words,
    choice_words,
    flowing_keys,
    notice_words,
    rows_of_keys,
)
from wizard.widgets.points_table import points_table
from wizard.widgets.scene import Scene, note_of_reading, notes_of
from wizard.widgets.turn_panel import thread_of
from wizard.widgets.waiting import Wait, waiting_words

ALL_TURNED_TITLE = "All turned. Enter goes on."


def scene_of(state: JobState, desk: StepDesk, *, beside: bool = False) -> Scene:
    """Return the drawing of the bed for the step in hand; `beside`: the first may stand beside it."""
    facts, request = state.facts, state.request
    finding = getattr(request, "finding", None)
    return Scene(
        machine=facts.machine,
        notes=notes_of(facts, finding),
        current=getattr(request, "point", None),
        nozzle_mm=_nozzle_mm(state),
        turns={name: desk.turns.made.get(name, turns) for name, turns in desk.turns.told.items()},
        ticked=frozenset(desk.turns.made),
        turning=None if desk.turns.done else desk.turns.current or None,
        caption="now" if beside and isinstance(request, ShowResult) and is_changed(facts) else "",
    )


def scene_before(facts: Facts) -> Scene | None:
    """Return the drawing of the bed as the first round found it; None where nothing was changed since."""
    if not facts.rounds or not is_changed(facts):
        return None
    readings = facts.rounds[0].readings
    notes = {name: note_of_reading(reading, facts.machine) for name, reading in readings.items()}
    return Scene(machine=facts.machine, notes=notes, caption="as first read")


def _nozzle_mm(state: JobState) -> XY | None:
    """Return where the nozzle is: as the machine says; by hand, where the person has put it."""
    if state.status.position_mm is not None:
        return state.status.position_mm[:2]
    point = state.facts.parked_at
    if not state.facts.by_hand or point is None or isinstance(state.request, MoveByHand):
        return None
    return state.facts.machine.point_named(point).at_mm


def title_of(state: JobState, desk: StepDesk, actions: tuple[Action, ...]) -> str:
    """Return the one large sentence: what to do now, and where."""
    if state.flow == "paused":
        return f"Paused. Press {key_of('go_on', actions)} to go on."
    if desk.turns.done and desk.turns.told:
        return ALL_TURNED_TITLE
    if desk.turns.told:
        return turn_title(state.facts.machine, desk.turns.current, desk.turns.told[desk.turns.current])
    point = getattr(state.request, "point", None)
    title = desk.page.title
    if point is None or not isinstance(state.request, TakeReading | Feel | LookForDaylight | JudgePad):
        return title
    return f"{point[:1].upper()}{point[1:]}: {title[:1].lower()}{title[1:]}"


def turn_title(machine: Machine, name: str, turns: float) -> str:
    """Return what to do at one adjuster; only what has a thread is turned."""
    thread = thread_of(machine, name)
    what = short_turn(turn_words(thread, turns))
    if isinstance(thread, Adjuster):
        return f"{name}: {what}." if thread.kind != "screw" else f"Turn {name}: {what}."
    return f"Turn the {name}: {what}."


def place_of(state: JobState, desk: StepDesk) -> Place:
    """Return which keys work now."""
    if state.flow == "paused":
        return "paused"
    return "turning" if desk.turns.told else "job"


def actions_of(state: JobState, desk: StepDesk, actions: tuple[Action, ...]) -> tuple[Action, ...]:
    """Return the footer's actions: without those that nothing would come of."""
    useless = set()
    if not state.can_go_back or state.flow == "paused":
        useless.add("take_back")
    if state.flow == "paused":
        useless.add("pause")
    if not desk.page.skip_reasons or state.flow == "paused":
        useless.add("skip")
    return tuple(a for a in actions_at(place_of(state, desk), actions) if a.name not in useless)


def sheets_now(state: JobState, page: Page, marks: Marks, room: Room, record: str) -> tuple[Sheet, ...]:
    """Return what stands beside the map. A turn's picture tells what its body would."""
    pictured = isinstance(state.request, Turn | TurnEndstop)
    words = body_words(() if pictured else page.body, room.columns)
    wait = Wait(state.request, state.status.temperatures, state.soak, state.layer, state.heating_left)
    drawn = (Text("\n".join(() if pictured else rows)) for rows in (page.picture, page.table))
    parts: tuple[Text, ...] = (words, *drawn, waiting_words(wait, room.columns, marks))
    before = None
    if isinstance(state.request, ShowChange | ShowResult):
        kept = kept_words(state.facts, record, room.columns)
        table = points_table(state.request.finding, state.facts.machine, room.columns, marks)
        history = None if room.roomy else history_words(state.facts, room.columns, marks)
        before = history if is_changed(state.facts) else None
        parts = (words, kept, table, *((history,) if history and not before else ()))
    troubles = [notice_words(each, room.columns) for each in (state.notice, state.refusal) if each]
    return sheets_of((*troubles, *parts), room, before)


def caution_of(state: JobState, page: Page) -> str:
    """Return the caution; on a simulated printer the top row says already that nothing is real."""
    return "" if state.facts.simulated else page.caution


def words_key(state: JobState, page: Page) -> object:
    """Return what the words depend on, so that they are made anew only when they change."""
    waits = isinstance(state.request, Warm | Soak | PrintLayer)
    return (
        page,
        state.request,
        state.notice,
        state.refusal,
        (state.status.temperatures, state.soak, state.layer, state.heating_left) if waits else None,
    )


def keys_of(desk: StepDesk, columns: int, has_bench: bool, shown: Callable[[str], str]) -> Text:
    """Return the keys that answer the step now: reasons for skipping, ticks, or the page's own.

    shown: the key in force for a usual one.
    """
    page = desk.page
    if desk.skipping:
        words = Text("Why is it left out?\n", "bold")
        words.append_text(choice_words(page.skip_reasons))
        words.append("\nEsc: do not leave it out")
        return words
    if page.entry_key and desk.typing.open:
        return Text()
    keys = [(shown(choice.key), choice.label) for choice in page.choices]
    if page.entry and page.entry_key and not desk.typing.open:
        keys.append((shown(page.entry_key), "another amount" if page.entry == "turns" else "another figure"))
    if not desk.turns.told:
        return rows_of_keys(keys)
    if desk.turns.done:
        return rows_of_keys([("enter", "all made: go on"), ("1", "a digit takes its tick back")])
    does = "have it turned, tick it" if has_bench else "turned: tick it"
    words = rows_of_keys([("enter", does)])
    words.append("\n")
    words.append_text(flowing_keys(keys, columns))
    return words


def asked_of(desk: StepDesk) -> str:
    """Return what is to be typed; where whole numbers are hundredths, it says so."""
    return desk.page.hint.replace("mm", "0.01 mm") if desk.hundredths else desk.page.hint


def also_of(desk: StepDesk, shown: Callable[[str], str]) -> str:
    """Return what a key changes before a reading is typed: the unit of whole numbers."""
    if desk.page.entry != "reading":
        return ""
    return f"{shown(HUNDREDTHS_KEY)}: {'in mm' if desk.hundredths else 'in hundredths'}"
