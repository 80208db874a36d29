"""The words beside the map as sheets that Left and Right turn, where one does not hold them all. Pure."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

import msgspec
from rich.text import Text

from wizard.facts import Facts
from wizard.instructions.stored import stored_sentences
from wizard.widgets.marks import Marks
from wizard.widgets.page_words import body_words
from wizard.widgets.run_table import run_table

LEAST_ROOM = 2
BEFORE = "as first read"


class Sheet(msgspec.Struct, frozen=True):
    """words: no more rows than there is room for. before: the map shows the bed as it was first read."""

    words: Text
    before: bool = False


class Room(msgspec.Struct, frozen=True):
    """Columns and rows for the words; roomy: what was before is shown beside, not on a sheet of its own."""

    columns: int
    rows: int
    roomy: bool = False


def sheets_of(parts: Sequence[Text], room: Room, before: Text | None = None) -> tuple[Sheet, ...]:
    """Return sheets that hold all parts, each part from the head of a sheet where not all fit on one.

    before: what stands beside the map of the bed as it was first read, on a last sheet.
    """
    whole = _joined(parts)
    last = [] if before is None else [before]
    if not last and rows_of(whole) <= room.rows:
        return (Sheet(whole),)
    each = max(room.rows - 1, 1)  # the last row tells how the sheet is turned
    chunks = [chunk for part in _packed(parts, each) for chunk in _chunks(part, each)] or [Text()]
    count = len(chunks) + len(last)
    told = [Sheet(_turned(words, nth, count)) for nth, words in enumerate(chunks, 1)]
    return (*told, *(Sheet(_turned(_chunks(words, each)[0], count, count), before=True) for words in last))


def kept_words(facts: Facts, record: str, columns: int) -> Text:
    """Return what was changed and stored, and where the record is ("" for a job that keeps none)."""
    told = (*stored_sentences(facts), f"The record: {record}" if record else "")
    return body_words([sentence for sentence in told if sentence], columns)


def history_words(facts: Facts, columns: int, marks: Marks) -> Text | None:
    """Return the history of the run, which stands beside its first map; None without a round."""
    rows = run_table(facts, columns, marks)
    return Text("\n".join(row[:columns] for row in rows)) if rows else None


def rows_of(words: Text) -> int:
    """Return how many rows words take."""
    return words.plain.count("\n") + 1 if words else 0


def rows_in(words: Text, columns: int) -> int:
    """Return how many rows words take where long ones wrap."""
    lines = words.plain.split("\n") if words else []
    return sum(max(len(textwrap.wrap(line, columns)), 1) for line in lines)


def _joined(parts: Sequence[Text]) -> Text:
    return Text("\n\n").join([part for part in parts if part])


def _packed(parts: Sequence[Text], rows: int) -> list[Text]:
    """Return the parts, those that go on one sheet together joined."""
    packed: list[Text] = []
    for part in (part for part in parts if part):
        joined = _joined((packed[-1], part)) if packed else part
        if packed and rows_of(joined) <= rows:
            packed[-1] = joined
        else:
            packed.append(part)
    return packed


def _chunks(words: Text, rows: int) -> list[Text]:
    lines = list(words.split("\n", allow_blank=True))
    return [Text("\n").join(lines[first : first + rows]) for first in range(0, len(lines), rows)]


def _turned(words: Text, nth: int, count: int) -> Text:
    told = words.copy()
    told.append("\n" if told else "")
    told.append(f" Left, Right  sheet {nth} of {count}", "bold")
    return told
