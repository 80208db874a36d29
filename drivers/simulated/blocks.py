"""One received line -> a block, or why it cannot be taken. The machine's end of the line. Pure.

`N<n> <block>*<xor>`: the number counts up by one, the checksum is the exclusive or of all bytes
before the star. Comments after `;` or in parentheses are left out. Words may stand without spaces.
"""

from __future__ import annotations

import re
from functools import reduce
from operator import xor

import msgspec

LONGEST = 256
_NUMBERED = re.compile(r"\s*N\s*(\d{1,9})\s*(.*)", re.IGNORECASE | re.DOTALL)
_COMMENT = re.compile(r"\([^()]*\)|;.*")
_WORD = re.compile(r"\s*([A-Za-z])\s*([-+]?(?:\d+\.?\d*|\.\d+))?\s*")
_COMMAND = re.compile(r"\s*([GMT])\s*0*(\d+)(?:\.0*)?(?![\d.])", re.IGNORECASE)


class Block(msgspec.Struct, frozen=True):
    """One command: its code such as "G1", its words by letter, and the text as it came.

    A word without a number has the value None. `number` is the line number, if there was one.
    """

    code: str
    words: dict[str, float | None]
    text: str
    number: int | None = None

    def value(self, letter: str) -> float | None:
        """Return a word's number; None where it is not there or has none."""
        return self.words.get(letter)


class Bad(msgspec.Struct, frozen=True):
    """A line that cannot be taken. `number` is None where it could not be told."""

    why: str


def read_block(line: bytes, expected: int) -> Block | Bad | None:
    """Return the block, why it is bad, or None for an empty line. `expected`: the next line number."""
    if len(line) > LONGEST:
        return Bad("line too long")
    body, star, tail = line.partition(b"*")
    text = body.decode("ascii", "replace")
    numbered = _NUMBERED.fullmatch(text)
    if star and not _sum_right(body, tail):
        return Bad("checksum does not match")
    if numbered and not star:
        return Bad("line number without checksum")
    number = int(numbered[1]) if numbered else None
    block = _block(_COMMENT.sub("", numbered[2] if numbered else text).strip(), number)
    if numbered and not (block and block.code == "M110") and number != expected:
        return Bad(f"line number {number} is not the next")
    return block


def _sum_right(body: bytes, tail: bytes) -> bool:
    text = tail.strip()
    return text.isdigit() and int(text) == reduce(xor, body, 0)


def _block(text: str, number: int | None) -> Block | None:
    if not text:
        return Block("", {}, "", number) if number is not None else None
    command = _COMMAND.match(text)
    if command is None:
        return Block(text.split(maxsplit=1)[0].upper(), {}, text, number)
    words = _words(text[command.end() :])
    return Block(command[1].upper() + command[2], words, text, number)


def _words(text: str) -> dict[str, float | None]:
    """Return the words by letter. What is no word ends them: it is a machine's own free text."""
    words: dict[str, float | None] = {}
    at = 0
    while match := _WORD.match(text, at):
        words[match[1].upper()] = None if match[2] is None else float(match[2])
        at = match.end()
    return words
