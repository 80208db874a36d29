"""The line in which a reading, a turn or a height is typed, and why it was refused, in place."""

from __future__ import annotations

from rich.text import Text

from wizard.widgets.page_words import Words

LONGEST = 40
STOP_KEY = "x"
"""The usual one, as all keys here are: see `wizard.keymap`."""

_OPENERS = "0123456789.,<>=+-"


def typed_after(text: str, key: str, character: str | None) -> str | None:
    """Return the text after a key; None where the key is not part of typing.

    Typing begins with a figure or a sign, so letters stay free to act; once begun, letters and
    spaces belong to it (`6 thou`). The stop key never does.
    """
    if key == "backspace":
        return text[:-1] if text else None
    if character is None or len(character) != 1 or not character.isprintable() or key == STOP_KEY:
        return None
    if not text and character not in _OPENERS:
        return None
    return (text + character)[:LONGEST]


class Entry(Words):
    """Shows what is typed."""

    def show_typing(self, asked: str, text: str, refusal: str, offer: str = "", also: str = "") -> None:
        """Show the typed text, the refusal under it, or what Enter would take (`offer`).

        also: another thing that a key does before typing has begun.
        """
        line = Text()
        line.append(f"{asked}  ")
        line.append(f" {text or offer}", "bold reverse")
        line.append("_ " if text or not offer else " ", "bold reverse")
        if refusal:
            line.append(f"\n! {refusal}", "bold")
        elif text:
            line.append("\nEnter takes it, Esc clears it")
        elif offer:
            line.append("\nEnter takes it, or type another")
        else:
            line.append("\ntype it, then Enter" + (f"; {also}" if also else ""))
        self.show(line)

    @property
    def rows(self) -> int:
        """How many rows the line and what stands under it take, those that wrap counted whole."""
        if self._words is None:
            return 0
        columns = max(self.size.width, 20)
        return sum(-(-max(len(line), 1) // columns) for line in self._words.plain.split("\n"))
