"""What a roomy window shows besides the step: history, sections through the bed, the line. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

from rich.text import Text

from drivers.interface import LineRecord
from wizard.facts import Facts
from wizard.requests import ShowChange, ShowResult
from wizard.screens.job_state import JobState
from wizard.widgets.canvas import Ink
from wizard.widgets.marks import Marks
from wizard.widgets.panel import Block
from wizard.widgets.run_table import run_table
from wizard.widgets.section import Section, known_of, sections
from wizard.widgets.section_drawing import draw_section

SEARCHED_LINES = 400
FEW_LINES, MANY_LINES = 4, 12
SECTION_ROWS = 8
HIGH_SECTION_ROWS = 12
LEAST_BESIDE = 34
"""Columns that each of two sections beside each other needs."""
_NUMBERED = re.compile(r"^N\d+ |\*\d+$")


class Pen(NamedTuple):
    """What is drawn with."""

    marks: Marks
    ink: Ink


def news_of(lines: Iterable[LineRecord]) -> tuple[str, ...]:
    """Return the last lines of the exchange, without commands that only repeat the one before.

    So the questions for temperatures, asked again and again, do not drive out the moves.
    """
    news: list[str] = []
    before, repeated = "", False
    for record in lines:
        if record.direction == ">":
            command = _NUMBERED.sub("", record.text)
            before, repeated = command, command == before
        if not repeated:
            news.append(f"{record.direction} {record.text}")
    return tuple(news[-MANY_LINES:])


def panel_key(state: JobState, news: tuple[str, ...]) -> object:
    """Return what the blocks depend on."""
    facts = state.facts
    point, finding = (getattr(state.request, name, None) for name in ("point", "finding"))
    return facts.rounds, facts.readings, news, point, finding


def blocks_of(
    state: JobState, news: tuple[str, ...], pen: Pen, vast: bool, columns: int
) -> tuple[Block, ...]:
    """Return the blocks, the most wanted first. `vast`: a column of their own."""
    lines = news if vast else news[-FEW_LINES:]
    rounds = _cut(run_table(state.facts, columns, pen.marks), columns)
    history = Block("History of the run, gaps in mm", rounds)
    cuts = section_blocks(state, columns, HIGH_SECTION_ROWS if vast else SECTION_ROWS, pen)
    if isinstance(state.request, ShowResult | ShowChange) and vast:
        blocks: tuple[Block, ...] = (*cuts, history)
    else:
        under_the_map = isinstance(state.request, ShowResult)
        blocks = (history,) if under_the_map else (history, *cuts)
    return tuple(block for block in (*blocks, Block("The line", _cut(lines, columns))) if block.body)


def section_blocks(state: JobState, columns: int, rows: int, pen: Pen) -> tuple[Block, ...]:
    """Return the sections through the row of the step's point: beside each other where there is room."""
    facts = state.facts
    known = known_of(facts, getattr(state.request, "finding", None))
    cuts = sections(facts.machine, known, getattr(state.request, "point", None))
    wide = (columns - 2) // 2 if len(cuts) == 2 and columns >= 2 * LEAST_BESIDE + 2 else columns
    drawn = [_drawn(cut, facts, wide, rows, pen) for cut in cuts]
    head = "Section through the plate, mm; up is nearer to the nozzle"
    if wide < columns:
        return (Block(head, _beside(*drawn)),)
    return tuple(Block(head, each) for each in drawn)


def _drawn(cut: Section, facts: Facts, columns: int, rows: int, pen: Pen) -> Text:
    tolerance_mm = facts.machine.first_layer.tolerance_mm
    return draw_section(cut, tolerance_mm, columns, rows, pen.marks).text(pen.ink)


def _beside(left: Text, right: Text) -> Text:
    pairs = zip(left.split("\n"), right.split("\n"), strict=True)
    return Text("\n").join(Text("  ").join(pair) for pair in pairs)


def _cut(rows: Iterable[str], columns: int) -> Text:
    return Text("\n".join(row[:columns] for row in rows))
