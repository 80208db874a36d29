"""Questions in the terminal, one line each: asked again with the reason until the answer can be used."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import TypeVar

from profiles.faults import nearest, printable
from profiles.keys import Range
from profiles.ranges import name_faults
from wizard.describing.typing_wait import typed_line
from wizard.exits import InputRefused

T = TypeVar("T")
NOTHING = "-"
ENDED = "the answers ended before the machine was described; nothing was written"


class Unusable(Exception):
    """An answer that cannot be used; the text says what is allowed."""


class Asker:
    """Asks and tells by two functions, so that tests need no terminal."""

    def __init__(self, read: Callable[[str], str] = typed_line, tell: Callable[[str], None] = print) -> None:
        self._read = read
        self.tell = tell

    def ask(self, question: str, parse: Callable[[str], T], usual: str | None = None) -> T:
        """Return a usable answer; an empty line takes `usual`. Raises InputRefused at the end of input."""
        prompt = f"{question} [{usual}]: " if usual is not None else f"{question}: "
        while True:
            try:
                text = self._read(prompt).strip()
            except EOFError:
                raise InputRefused(ENDED) from None
            try:
                return parse(text or usual or "")
            except Unusable as error:
                self.tell(f"  {error}")

    def number(self, question: str, allowed: Range, usual: float | None = None) -> float:
        """Return one number within its range."""
        return self.ask(question, lambda text: number_of(text, allowed), _shown(usual))

    def pair(self, question: str, allowed: Range, usual: Sequence[float] | None = None) -> list[float]:
        """Return two numbers, each within the range."""
        words = None if usual is None else " ".join(f"{each:g}" for each in usual)
        return self.ask(question, lambda text: numbers_of(text, allowed, 2), words)

    def choice(self, question: str, options: Sequence[str], usual: str) -> str:
        """Return one of a few words, of which the beginning is enough."""
        return self.ask(
            f"{question} ({', '.join(options)})", lambda text: option_of(text, tuple(options)), usual
        )

    def yes(self, question: str, *, usual: bool) -> bool:
        """Return whether the answer is yes."""
        return self.choice(question, ("yes", "no"), "yes" if usual else "no") == "yes"

    def name(self, question: str, usual: str | None = None) -> str:
        """Return a name that can be shown on one line."""
        return self.ask(question, name_of, usual)


def number_of(text: str, allowed: Range) -> float:
    """Return one number. Raises Unusable."""
    return numbers_of(text, allowed, 1)[0]


def numbers_of(text: str, allowed: Range, count: int | None = None) -> list[float]:
    """Return numbers apart by spaces, semicolons or "x"; `count` of them, None: any. Raises Unusable."""
    words = [word for word in re.split(r"[\s;x×]+|,\s+", text.replace("mm", "")) if word]
    wanted = {None: "numbers", 1: "one number"}.get(count, f"{count} numbers")
    try:
        numbers = [float(word.replace(",", ".")) for word in words]
    except ValueError:
        raise Unusable(f"Give {wanted}, as in 0.2.") from None
    if count is not None and len(numbers) != count:
        raise Unusable(f"Give {wanted}{', with a space between' if count != 1 else ''}.")
    for each in numbers:
        if not allowed.low <= each <= allowed.high:
            raise Unusable(f"{each:g} is not within {allowed.low:g} to {allowed.high:g} {allowed.unit}.")
    return [int(each) if each.is_integer() else each for each in numbers]


def option_of(text: str, options: tuple[str, ...]) -> str:
    """Return the option that a text begins. Raises Unusable."""
    if text in options:
        return text
    found = [option for option in options if text and option.startswith(text.casefold())]
    if len(found) == 1:
        return found[0]
    raise Unusable(f"{nearest(printable(text), options)[:200]}.".replace("allowed are", "Allowed are", 1))


def name_of(text: str) -> str:
    """Return a name. Raises Unusable."""
    for fault in name_faults("The name", text):
        raise Unusable(f"{fault.key} {fault.said}.")
    return text


def _shown(number: float | None) -> str | None:
    return None if number is None else f"{number:g}"
