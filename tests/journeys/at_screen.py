"""A person before the drawn screen: looks, does what is asked with their hands, presses keys."""

from __future__ import annotations

import re
import time
from typing import NamedTuple

import pytest

from tests.journeys.person import TURN, Bench, Person
from tests.journeys.program import Page
from tests.journeys.terminal import Terminal

LOOK_AGAIN_S = 5.0
"""After so long without another step a person presses again what they thought they had pressed."""
SIDE = 34
"""The column at which the words of a step begin in a window of 80."""
PRESSED = {"Enter": "\r", "Esc": "\x1b"}


class Seen(NamedTuple):
    """A step as it stands on the screen; where nozzle and progress are tells it from the next one."""

    page: Page
    where: str


class AtScreen:
    """Does a job on a terminal. `answered` is how many steps were answered so far."""

    def __init__(self, person: Person, terminal: Terminal) -> None:
        self.answered = 0
        self._person = person
        self._hands: Bench = person.hands
        self.terminal = terminal
        self._done: Seen | None = None
        self._done_at = 0.0

    def do(self) -> int:
        """Answer until the program ends; return its exit code."""
        while (page := self.question()) is not None:
            self.answer(page)
        return self.terminal.ends()

    def question(self) -> Page | None:
        """Wait for the next step that asks something; None where the program has ended."""
        seen = self.terminal.until(self._next)
        return seen if isinstance(seen, Page) else None

    def answer(self, page: Page) -> None:
        """Do what the step says and press the keys for it."""
        if told := re.fullmatch(rf"Turn (.+): {TURN.pattern}\.", page.title):
            name, whole, top, bottom, way = told.groups()
            turns = int(whole or 0) + int(top) / int(bottom or 1)
            self._hands.turn(name, turns if way == "clockwise" else -turns)
            keys = "\r"
        else:
            keys = self._person.answer(page)
            keys = PRESSED.get(keys, keys) if keys in page.keys else keys + "\r"
        self._done, self._done_at = see(self.terminal), time.monotonic()
        self.answered += 1
        self.terminal.type(keys)

    def _next(self) -> Page | bool:
        if self.terminal.ended:
            return True
        seen = see(self.terminal)
        if seen is None or (seen == self._done and time.monotonic() < self._done_at + LOOK_AGAIN_S):
            return False
        return seen.page


def see(terminal: Terminal) -> Seen | None:
    """Return the step that the screen asks; None while the machine is at work or something is typed."""
    side = "\n".join(row[SIDE:].strip() for row in terminal.screen.display[4:-3])
    if "! " in side:
        pytest.fail(f"was refused:\n{terminal.text()}")
    keys = _keys(terminal)
    if "STILL" not in terminal.row(-3) or "Enter takes it" in side:
        return None
    typed = "type it, then Enter" in side
    if not keys and not typed:
        return None
    title = " ".join(" ".join(terminal.screen.display[1:4]).split())
    return Seen(Page(title, side, keys), terminal.row(0) + terminal.row(-3))


def _keys(terminal: Terminal) -> dict[str, str]:
    """Return the keys of the step with their labels: a key stands reversed, its label after it."""
    keys = {}
    for number in range(4, terminal.screen.lines - 3):
        row = terminal.screen.buffer[number]
        marked = "".join("\1" if row[column].reverse else "\0" for column in range(terminal.screen.columns))
        for key in re.finditer("\1+\0*", marked[SIDE:]):
            shown = terminal.row(number)[SIDE:][key.start() : key.end()]
            length = key[0].count("\1")
            word = shown[:length].strip()
            if word in PRESSED or (len(word) == 1 and word.isalnum()):
                keys[word] = shown[length:].strip()
    return keys
