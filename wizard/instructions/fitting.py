"""Fitting text into the room that a screen has, counted in the cells of a terminal. Pure."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable

from profiles.faults import printable

TITLE_WIDTH = 60
BODY_WIDTH = 44
"""Beside a map of the bed on a terminal of 80 columns."""
WIDEST_BODY = 72
MOST_LINES = 12
LABEL_WIDTH = 44
INDENT = "  "
MORE = " ..."
WIDEST_LETTER = 2
"""Cells: no room is too small for one letter a line."""


_WIDE_SINCE = (range(0x4DC0, 0x4E00), range(0x1D300, 0x1D380))
"""Blocks that count as wide since Unicode 16, which the standard library here is too old to know."""


def cells(text: str) -> int:
    """Return how many columns of a terminal `text` takes: wide letters two, combining marks none."""
    if text.isascii():
        return len(text)
    return sum(_cell(letter) for letter in text)


def _cell(letter: str) -> int:
    if unicodedata.combining(letter):
        return 0
    wide = unicodedata.east_asian_width(letter) in "WF" or any(ord(letter) in block for block in _WIDE_SINCE)
    return 2 if wide else 1


def short(text: str, most: int) -> str:
    """Return `text` on one line, harmless to a terminal, its end cut where it is wider than `most`."""
    plain = printable(" ".join(text.split()))
    if cells(plain) <= most:
        return plain
    return f"{_head(plain, most - 3).rstrip()}..."[:most]


def headline(before: str, name: str, after: str = "") -> str:
    """Return `before` + `name` + `after`; the name is what gives way where it gets too long."""
    return before + short(name, TITLE_WIDTH - cells(before) - cells(after)) + after


def fit(*sentences: str) -> tuple[str, ...]:
    """Return the sentences as lines: narrow where few lines hold them, else wide, else cut short."""
    for width in (BODY_WIDTH, WIDEST_BODY):
        lines = wrapped(sentences, width)
        if len(lines) <= MOST_LINES:
            return lines
    last = _head(lines[MOST_LINES - 1], WIDEST_BODY - len(MORE)).rstrip() + MORE
    return (*lines[: MOST_LINES - 1], last)


def fits(*sentences: str) -> bool:
    """Tell whether `fit` would keep every word."""
    return len(wrapped(sentences, WIDEST_BODY)) <= MOST_LINES


def wrapped(sentences: Iterable[str], width: int = WIDEST_BODY) -> tuple[str, ...]:
    """Return the sentences as lines of at most `width` cells; empty sentences are left out."""
    return tuple(line for sentence in sentences for line in _lines(sentence, width))


def sentences(lines: Iterable[str]) -> tuple[str, ...]:
    """Return the sentences that fitted lines were made of, each whole again."""
    whole: list[str] = []
    for line in lines:
        if line.startswith(INDENT) and whole:
            whole[-1] += f" {line.strip()}"
        else:
            whole.append(line)
    return tuple(whole)


def _lines(sentence: str, width: int) -> list[str]:
    """Break at spaces; further lines of a sentence are indented, so that its beginning is seen."""
    lines: list[str] = []
    line = ""
    for word in _words(sentence, max(width - len(INDENT), WIDEST_LETTER)):
        longer = f"{line} {word}" if line.strip() else line + word
        if cells(longer) > width:
            lines.append(line)
            longer = INDENT + word
        line = longer
    return [*lines, line] if line else lines


def _words(sentence: str, most: int) -> list[str]:
    """Return the words, those that no line could hold broken."""
    words: list[str] = []
    for word in printable(" ".join(sentence.split())).split():
        rest = word
        while cells(rest) > most:
            words.append(_head(rest, most))
            rest = rest[len(words[-1]) :]
        words.append(rest)
    return words


def _head(text: str, most: int) -> str:
    """Return the longest beginning of `text` that takes at most `most` cells."""
    end = min(len(text), max(most, 0))
    while cells(text[:end]) > most:
        end -= 1
    return text[:end]
