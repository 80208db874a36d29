"""The turns to make, ticked off one by one, with a picture of the one to make now."""

from __future__ import annotations

from rich.text import Text
from textual.widget import Widget

from profiles.machine import Adjuster, Machine, Thread
from wizard.instructions.turns import TurnWords, turn_words
from wizard.widgets.marks import FULL, Marks
from wizard.widgets.turn_desk import TurnDesk
from wizard.widgets.turn_picture import draw_turn

_LEAST_PICTURE = 7
_MOST_PICTURE = 20


def thread_of(machine: Machine, name: str) -> Thread:
    """Return what carries a turn's name: an adjuster, or else the endstop screw."""
    for adjuster in machine.adjuster:
        if adjuster.name == name:
            return adjuster
    return machine.height.screw or Thread()


def way_mark(thread: Thread, turns: float, marks: Marks) -> str:
    """Return the mark of a direction: round for what is turned, plus and minus for shims and motors."""
    if isinstance(thread, Adjuster) and thread.kind != "screw":
        return "+" if turns > 0 else "-"
    return marks.clockwise if turns > 0 else marks.counter


def list_rows(desk: TurnDesk, machine: Machine, marks: Marks) -> list[tuple[str, bool]]:
    """Return a row for each turn, and whether it is the current one."""
    wide = max((len(name) for name in desk.names), default=0)
    rows = []
    for number, (name, told) in enumerate(desk.told.items(), 1):
        turns = desk.made.get(name, told)
        words = turn_words(thread_of(machine, name), turns)
        tick = marks.ticked if name in desk.made else marks.unread
        here = name == desk.current and not desk.done
        arrow = marks.here_left if here else " "
        way = way_mark(thread_of(machine, name), turns, marks)
        amount = words.fraction.replace(" and ", " ")
        rows.append((f"{arrow}{number} {tick} {name:<{wide}}  {way} {amount}", here))
    return rows


def told_rows(words: TurnWords) -> list[str]:
    """Return what stands beside the picture, a row each: amount, way, side, effect."""
    return [row for row in (*_amount(words), words.direction, _seen(words), words.effect) if row]


def short_rows(words: TurnWords) -> list[str]:
    """Return the same for where no picture finds room: what the title does not tell comes first."""
    return [row for row in (_seen(words), words.effect, *_amount(words)[1:]) if row]


def _amount(words: TurnWords) -> list[str]:
    return [words.fraction, words.degrees.replace(" degrees", "°"), words.flats]


def _seen(words: TurnWords) -> str:
    return f"seen from {words.side}" if words.side else ""


class TurnPanel(Widget):
    """Shows a `TurnDesk`."""

    def __init__(self, marks: Marks = FULL, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._marks = marks
        self._machine: Machine | None = None
        self._desk = TurnDesk({})

    def show(self, desk: TurnDesk, machine: Machine) -> None:
        """Show another desk."""
        if (desk, machine) != (self._desk, self._machine):
            self._desk, self._machine = desk, machine
            self.refresh()

    def render(self) -> Text:
        """The list, and under it as large a picture as there is room for."""
        text = Text(no_wrap=True, end="")
        if self._machine is None:
            return text
        rows = list_rows(self._desk, self._machine, self._marks)
        for row, here in rows:
            text.append(
                row[: self.size.width].ljust(self.size.width) + "\n", "bold reverse" if here else "bold"
            )
        for row in self._picture_rows(self._machine, self.size.height - len(rows) - 1):
            text.append("\n" + row)
        return text

    def _picture_rows(self, machine: Machine, room: int) -> list[str]:
        name = self._desk.current
        thread = thread_of(machine, name)
        told = turn_words(thread, self._desk.told.get(name, 0.0))
        rows = min(room, _MOST_PICTURE, (self.size.width - 20) // 2)
        turned = not isinstance(thread, Adjuster) or thread.kind == "screw"
        if self._desk.done or rows < _LEAST_PICTURE or not turned:
            return [] if self._desk.done else short_rows(told)[: max(room, 0)]
        picture = draw_turn(self._desk.told[name], thread.head, rows, self._marks)
        return _beside(picture, told_rows(told), self.size.width)


def _beside(picture: list[str], words: list[str], columns: int) -> list[str]:
    """Return the picture with the words to its right, in the middle of its height."""
    room = columns - len(picture[0]) - 2
    lines = [line for word in words for line in _folded(word, room)]
    above = max((len(picture) - len(lines)) // 2, 0)
    beside = [""] * above + lines
    return [f"{row}  {beside[i] if i < len(beside) else ''}" for i, row in enumerate(picture)]


def _folded(words: str, room: int) -> list[str]:
    lines = [""]
    for word in words.split():
        joined = f"{lines[-1]} {word}".strip()
        if len(joined) > room and lines[-1]:
            lines.append(word)
        else:
            lines[-1] = joined
    return lines
