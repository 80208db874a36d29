"""What a screen, or a line of text, shows of one request: Page and Choice. Pure."""

from __future__ import annotations

from typing import Literal

import msgspec

from wizard.requests import AnyAnswer

RESERVED_KEYS = frozenset({"escape", "b", "p", "x", "k", "l", "q", "?", "f1"})
"""Keys with one meaning everywhere: back, pause, stop, skip, log, quit, help."""

ANSWER_KEYS = frozenset("dfhintouvwyz")
"""The letters that answer a step, one meaning in each; a digit or Enter may answer, too."""

Entry = Literal["reading", "turns", "height", "thickness", "filament", "pad"]


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
    picture: lines of at most 44 plain characters, drawn as they are.
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
    picture: tuple[str, ...] = ()
