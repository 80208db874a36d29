"""The virtual bench at work in one step: which key does what, and what was felt. No drawing of its own."""

from __future__ import annotations

from collections.abc import Callable

from rich.text import Text

from profiles.machine import Machine
from wizard.requests import (
    AnyAnswer,
    Confirmed,
    EnterGrid,
    Feel,
    HeightChanged,
    JudgePad,
    Look,
    LookForDaylight,
    TakeReading,
)
from wizard.widgets.marks import Marks
from wizard.widgets.virtual_bench import LeafTable, VirtualBench, leaf_rows, one_key_rows

KEY = "v"
_NOZZLE = ""
"""Stands for the nozzle height among the names of adjusters."""
_SAID = {"free": "The card is free.", "drag": "The card drags lightly.", "tight": "The card is tight."}


class BenchDesk:
    """Lends a virtual gauge and hand to a person; does nothing where there is no bench."""

    def __init__(
        self,
        bench: VirtualBench | None,
        machine: Machine,
        marks: Marks,
        shown: Callable[[str], str] = lambda key: key,
    ) -> None:
        self._bench = bench
        self._machine = machine
        self._marks = marks
        self._key = shown(KEY)
        self._request: object = None
        self._leaves = LeafTable(())
        self._said = self._measured = ""
        self._answers = 0
        self._made: list[tuple[int, str, float]] = []

    @property
    def offer(self) -> str:
        """What was read so far, leaves tried or a pad measured, as it would be typed; "" for nothing yet."""
        return self._measured or self._leaves.told

    def begin(self, request: object, answers: int = 0) -> None:
        """Begin a step with nothing felt. `answers`: how many the job stands on now.

        What the hand did for an answer that is not among them any more, or for a step that was left
        half done, is undone, so that ticking it again does not do it twice.
        """
        self._undo_from(answers)
        self._answers = answers
        self._request, self._said, self._measured = request, "", ""
        start = request.start_leaf_mm if isinstance(request, TakeReading) else None
        leaves = self._machine.gauge.leaves_mm if isinstance(request, TakeReading) else ()
        self._leaves = LeafTable.begin(leaves, start)

    @property
    def lent(self) -> bool:
        """Whether there is a bench."""
        return self._bench is not None

    def turned(self, name: str, turns: float) -> None:
        """Turn an adjuster as the person says that it was turned."""
        if self._bench is not None:
            self._made.append((self._answers, name, self._bench.turn(name, turns)))

    def answered(self, answer: AnyAnswer) -> None:
        """Do at the machine's own menu what the person says to have done there."""
        if self._bench is None:
            return
        if isinstance(answer, HeightChanged) and answer.change_mm:
            change_mm = answer.change_mm
            self._made.append((self._answers, _NOZZLE, self._bench.raise_nozzle(change_mm)))
        elif isinstance(answer, Confirmed) and isinstance(self._request, EnterGrid):
            self._bench.type_grid(self._request.values)

    def _undo_from(self, answers: int) -> None:
        while self._bench is not None and self._made and self._made[-1][0] >= answers:
            _, name, amount = self._made.pop()
            if name == _NOZZLE:
                self._bench.raise_nozzle(-amount)
            else:
                self._bench.turn(name, -amount)

    def press(self, key: str) -> bool:
        """Do what a key means at the bench; return whether it means anything in this step."""
        if self._bench is None:
            return False
        if isinstance(self._request, TakeReading) and self._leaves.leaves_mm:
            return self._press_leaves(self._bench, key)
        if key != KEY:
            return False
        if isinstance(self._request, Feel):
            self._said = _SAID[self._bench.feel()]
        elif isinstance(self._request, LookForDaylight):
            passes = self._bench.daylight(self._request.thick_mm)
            self._said = "It passes: there is daylight." if passes else "It does not pass."
        elif isinstance(self._request, JudgePad):
            self._judge(self._bench, self._request)
        else:
            return False
        return True

    def _judge(self, bench: VirtualBench, pad: JudgePad) -> None:
        """Measure the pad, or look at it; what cannot be measured is looked at."""
        thick_mm = None if pad.how == "look" else bench.pad_thickness(pad.point, pad.how)
        look = bench.pad_look(pad.point)
        if thick_mm:
            self._measured = f"{thick_mm:g}"
            self._said = f"The {pad.how} says {thick_mm:g} mm."
        else:
            self._said = "There is no pad." if look is None else f"It looks like this: {_look(look)}."

    def _press_leaves(self, bench: VirtualBench, key: str) -> bool:
        leaf = self._leaves.in_hand_mm
        if key in ("up", "down"):
            self._leaves = self._leaves.thicker(1 if key == "up" else -1)
        elif key == KEY and leaf is not None:
            self._leaves = self._leaves.with_word(bench.try_leaf(leaf))
        else:
            return False
        return True

    def words(self) -> Text:
        """Return the panel for this step; empty where the bench has nothing to lend."""
        if self._bench is None:
            return Text()
        if isinstance(self._request, TakeReading) and self._leaves.leaves_mm:
            return leaf_rows(self._leaves, self._marks, self._key)
        if isinstance(self._request, Feel):
            return one_key_rows(self._key, "push the card under", self._said)
        if isinstance(self._request, LookForDaylight):
            return one_key_rows(self._key, "push the thick card under", self._said)
        if isinstance(self._request, JudgePad):
            does = "look at the pad" if self._request.how == "look" else "measure the pad"
            return one_key_rows(self._key, does, self._said)
        return Text()


def _look(look: Look) -> str:
    """Return a look in words; they are loaded with the wording of the print, not before the first paint."""
    from wizard.instructions.printing import LOOKS

    return LOOKS[look]
