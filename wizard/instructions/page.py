"""What a screen, or a line of text, shows of one request: Page and Choice, and how text is fitted. Pure."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from typing import Literal

import msgspec

from profiles.faults import printable
from wizard.requests import AnyAnswer

TITLE_WIDTH = 60
BODY_WIDTH = 44
"""Beside a map of the bed on a terminal of 80 columns."""
WIDEST_BODY = 72
MOST_LINES = 8
LABEL_WIDTH = 44
RESERVED_KEYS = frozenset({"escape", "b", "p", "x", "k", "l", "q", "?", "f1"})
"""Keys with one meaning everywhere: back, pause, stop, skip, log, quit, help."""

Entry = Literal["reading", "turns", "height"]


class Choice(msgspec.Struct, frozen=True):
    """One key and the answer it sends. `key` is a letter, a digit or "enter"."""

    key: str
    label: str
    answer: AnyAnswer


class Page(msgspec.Struct, frozen=True):
    """All wording of one request.

    title: one short sentence: what to do now. body: lines of at most 72 characters, 44 where it fits.
    entry: what may be typed, with `hint` as its prompt; an empty `entry_key` means typing starts at
    once, else that key opens it. leaves_mm and told: what typed text is read against.
    skip_reasons: answers to the skip key. table: lines in columns, as many as there are points.
    """

    title: str
    body: tuple[str, ...] = ()
    choices: tuple[Choice, ...] = ()
    caution: str = ""
    entry: Entry | None = None
    hint: str = ""
    entry_key: str = ""
    leaves_mm: tuple[float, ...] = ()
    told: dict[str, float] = {}
    skip_reasons: tuple[Choice, ...] = ()
    table: tuple[str, ...] = ()


def short(text: str, most: int) -> str:
    """Return `text` on one line, harmless to a terminal, its end cut where it is longer than `most`."""
    plain = printable(" ".join(text.split()))
    return plain if len(plain) <= most else f"{plain[: max(most - 3, 1)].rstrip()}..."[:most]


def headline(before: str, name: str, after: str = "") -> str:
    """Return `before` + `name` + `after`; the name is what gives way where it gets too long."""
    return before + short(name, TITLE_WIDTH - len(before) - len(after)) + after


def fit(*sentences: str) -> tuple[str, ...]:
    """Return the sentences as lines: narrow where eight lines hold them, else wide, else cut short."""
    for width in (BODY_WIDTH, WIDEST_BODY):
        lines = wrapped(sentences, width)
        if len(lines) <= MOST_LINES:
            return lines
    last = f"{lines[MOST_LINES - 1][: WIDEST_BODY - 4].rstrip()} ..."
    return (*lines[: MOST_LINES - 1], last)


def fits(*sentences: str) -> bool:
    """Tell whether `fit` would keep every word."""
    return len(wrapped(sentences, WIDEST_BODY)) <= MOST_LINES


def wrapped(sentences: Iterable[str], width: int = WIDEST_BODY) -> tuple[str, ...]:
    """Return the sentences as lines of at most `width`; empty sentences are left out."""
    return tuple(line for sentence in sentences for line in _wrapped(sentence, width))


def _wrapped(sentence: str, width: int) -> list[str]:
    return textwrap.wrap(printable(sentence), width, subsequent_indent="  ", break_on_hyphens=False)
