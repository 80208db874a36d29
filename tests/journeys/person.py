"""A person before a program: reads what it asks, does it with their hands, types the answer."""

from __future__ import annotations

import re
from typing import Protocol

from profiles.machine import Machine
from tests.journeys.program import Page, Program

TURN = re.compile(r"(?:about )?(?:(\d+) and )?(\d+)(?:/(\d+))? turns? (anticlockwise|clockwise)")


class Bench(Protocol):
    """What hands can do at a machine."""

    def daylight(self, thick_mm: float) -> bool: ...
    def enters(self, leaf_mm: float) -> bool: ...
    def feel(self, card_mm: float) -> str: ...
    def turn(self, adjuster: str, turns: float) -> object: ...


class HandsByWord:
    """The virtual hands that `simulate` and `demo --plain` lend, each called by a typed line."""

    def __init__(self, program: Program) -> None:
        self._program = program

    def _found(self, words: str, sign: str) -> str:
        self._program.type(words)
        return self._program.until(sign)

    def daylight(self, thick_mm: float) -> bool:
        return self._found(f"daylight {thick_mm:g}", "pass") == "passes"

    def enters(self, leaf_mm: float) -> bool:
        return "will not enter" not in self._found(f"leaf {leaf_mm:g}", f"{leaf_mm:g} mm leaf: ")

    def feel(self, card_mm: float) -> str:
        return self._found("card", " mm card: ").rpartition(": ")[2]

    def turn(self, adjuster: str, turns: float) -> object:
        return self._found(f"turn {adjuster} {turns:+g}", f"{adjuster}: turned about")


class Person:
    """Reads what the program asks, as anybody would, does it with their hands and types the answer."""

    def __init__(self, machine: Machine, hands: Bench, gauge: str = "leaves") -> None:
        self.machine = machine
        self.hands = hands
        self.gauge = gauge
        self.turned: list[dict[str, float]] = []

    def answer(self, page: Page) -> str:
        """Do what the page says and return what is typed then."""
        if through := page.key("daylight"):
            return through if self.hands.daylight(_millimetres(page.title)) else page.other_than(through)
        if "leaf" in page.title:
            return self._leaf()
        if page.key("tight"):
            return page.key(self.hands.feel(_millimetres(page.title))) or ""
        if turns := self._told_turns(page):
            self._turn(turns)
        return self._choice(page)

    def do(self, program: Program) -> int:
        """Answer until the program ends; return its exit code."""
        while (page := program.question()) is not None:
            program.type(self.answer(page))
        return program.ends()

    def _leaf(self) -> str:
        low: float | None = None
        for leaf in self.machine.gauge.leaves_mm:
            if not self.hands.enters(leaf):
                return f"<{leaf:.2f}" if low is None else f"{low:.2f}-{leaf:.2f}"
            low = leaf
        return f">{low:.2f}"

    def _told_turns(self, page: Page) -> dict[str, float]:
        names = "|".join(sorted((a.name for a in self.machine.adjuster), key=len, reverse=True))
        turns = {}
        for told in re.finditer(rf"({names}): {TURN.pattern}", f"{page.title} {page.body}"):
            name, whole, top, bottom, way = told.groups()
            amount = int(whole or 0) + int(top) / int(bottom or 1)
            turns[name] = amount if way == "clockwise" else -amount
        return turns if page.key("turned as told") else {}

    def _turn(self, turns: dict[str, float]) -> None:
        for name, amount in turns.items():
            self.hands.turn(name, amount)
        self.turned.append(turns)

    def _choice(self, page: Page) -> str:
        wanted = (self.gauge, "not sure: read it again", "make the turns all the same", "end here")
        found = (page.key(label) for label in wanted)
        return next((key for key in found if key is not None), next(iter(page.keys)))


def _millimetres(text: str) -> float:
    found = re.search(r"([\d.]+) mm", text)
    assert found, text
    return float(found[1])
