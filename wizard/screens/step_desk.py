"""What a person is doing with one step: typing, ticking turns, skipping. No drawing, no I/O.

The screen hands every key to `StepDesk.press`; what comes back is an answer to send, or whether
the key was used. Nothing here knows the session.
"""

from __future__ import annotations

from collections.abc import Callable
from enum import Enum

import msgspec

from wizard.instructions.page import Page
from wizard.readings.errors import ReadingError
from wizard.requests import AnyAnswer, Turn, Turned, TurnEndstop
from wizard.widgets.entry import typed_after
from wizard.widgets.turn_desk import TurnDesk

SKIP_KEY = "k"
HUNDREDTHS_KEY = "i"
_BLANK = Page("")


class Used(Enum):
    """What became of a key that sends no answer."""

    YES = "yes"
    NO = "no"


class Typing(msgspec.Struct, frozen=True):
    """The entry line: whether it is open, its text, why it was refused, what Enter alone would take."""

    open: bool = False
    text: str = ""
    refusal: str = ""
    offer: str = ""


class StepDesk:
    """One step in hand. `on_tick(adjuster, turns)` is told of each turn that is ticked or taken back."""

    def __init__(
        self,
        request: object = None,
        page: Page = _BLANK,
        on_tick: Callable[[str, float], object] = lambda _name, _turns: None,
    ) -> None:
        self.request = request
        self.page = page
        self.skipping = False
        self.hundredths = False
        self.sheet = 0
        self.typing = Typing(open=page.entry is not None and not page.entry_key)
        self.turns = _turns_of(request)
        self._on_tick = on_tick

    def offer(self, text: str) -> None:
        """Have Enter alone take `text`."""
        self.typing = msgspec.structs.replace(self.typing, offer=text)

    def press(self, key: str, character: str | None) -> AnyAnswer | Used:
        """Take one key: return the answer that it sends, or whether it was used at all."""
        if self.skipping:
            return self._press_skipping(key)
        for turn in (self._press_typing, self._press_turning):
            used = turn(key, character)
            if used is not Used.NO:
                return used
        return self._press_choice(key)

    def _press_choice(self, key: str) -> AnyAnswer | Used:
        for choice in self.page.choices:
            if choice.key == key:
                return self._whole(choice.answer)
        if key == self.page.entry_key and self.page.entry:
            self.typing = Typing(open=True)
            return Used.YES
        if key in ("left", "right"):
            self.sheet += 1 if key == "right" else -1
            return Used.YES
        if key == SKIP_KEY and self.page.skip_reasons:
            self.skipping = True
            return Used.YES
        return Used.NO

    def _press_skipping(self, key: str) -> AnyAnswer | Used:
        for choice in self.page.skip_reasons:
            if choice.key == key:
                return choice.answer
        if key in ("escape", SKIP_KEY):
            self.skipping = False
            return Used.YES
        return Used.NO

    def _press_typing(self, key: str, character: str | None) -> AnyAnswer | Used:
        typing = self.typing
        if not typing.open:
            return Used.NO
        if key == "enter" and (typing.text or typing.offer):
            return self._submit(typing.text or typing.offer)
        if key == HUNDREDTHS_KEY and self.page.entry == "reading" and not typing.text:
            self.hundredths = not self.hundredths
            return Used.YES
        if key == "escape" and (typing.text or self.page.entry_key):
            self.typing = Typing(open=not self.page.entry_key, offer=typing.offer)
            return Used.YES
        text = typed_after(typing.text, key, character)
        if text is None:
            return Used.NO
        self.typing = msgspec.structs.replace(typing, text=text, refusal="")
        return Used.YES

    def _submit(self, text: str) -> AnyAnswer | Used:
        try:
            return self._read(text)
        except ReadingError as why:
            self.typing = msgspec.structs.replace(self.typing, text=text, refusal=str(why))
            return Used.YES

    def _read(self, text: str) -> AnyAnswer | Used:
        """Return the answer that a text gives; of turns it is what was really made of the current one."""
        if not self.turns.told:
            from wizard.instructions import typed_answer

            return typed_answer(self.page, text, hundredths=self.hundredths and text != self.typing.offer)
        from wizard.readings import parse_turned

        name = self.turns.current
        turned = parse_turned(text, {name: self.turns.told[name]})
        self.typing = Typing()
        self._tick(turned[name])
        return Used.YES

    def _press_turning(self, key: str, character: str | None) -> AnyAnswer | Used:
        if not self.turns.told:
            return Used.NO
        if key == "enter":
            if self.turns.done:
                return Turned(self.turns.made)
            self._tick(None)
            return Used.YES
        if key in ("up", "down"):
            self.turns = self.turns.beside(1 if key == "down" else -1)
            return Used.YES
        if character is not None and character.isdecimal() and 1 <= int(character) <= len(self.turns.told):
            self._untick(self.turns.at(int(character)))
            return Used.YES
        return Used.NO

    def _tick(self, turns: float | None) -> None:
        name = self.turns.current
        if name in self.turns.made:
            self._on_tick(name, -self.turns.made[name])
        self.turns = self.turns.tick(turns)
        self._on_tick(name, self.turns.made[name])

    def _untick(self, after: TurnDesk) -> None:
        for name, turns in self.turns.made.items():
            if name not in after.made:
                self._on_tick(name, -turns)
        self.turns = after

    def _whole(self, answer: AnyAnswer) -> AnyAnswer:
        """Return the answer of a key; one that tells all turns at once ticks them all first."""
        if isinstance(answer, Turned):
            for name in self.turns.names:
                made, told = self.turns.made.get(name, 0.0), answer.turns.get(name, 0.0)
                if made != told:
                    self._on_tick(name, told - made)
        return answer


def _turns_of(request: object) -> TurnDesk:
    if isinstance(request, Turn):
        return TurnDesk.begin(request.turns)
    if isinstance(request, TurnEndstop):
        return TurnDesk.begin({"endstop screw": request.turns})
    return TurnDesk({})
