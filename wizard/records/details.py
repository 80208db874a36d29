"""What a run's tables hold: readings, changes and last gaps, as rows. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from wizard.record import Step
from wizard.records.run import Whole
from wizard.requests import (
    ChangeHeightByMenu,
    Feel,
    Felt,
    HeightChanged,
    LookForDaylight,
    ReadingTaken,
    Seen,
    SetHeight,
    Skipped,
    Store,
    TakeReading,
    Turn,
    Turned,
    TurnEndstop,
)


class ReadingRow(NamedTuple):
    """One answer about a gap: bracket as read at `z_mm`; how: leaf, feel by drag, or the thick card.

    early: taken although the soak had been cut short.
    """

    n: int
    at: str
    round: int
    point: str
    z_mm: float
    low_mm: float | None
    high_mm: float | None
    how: str
    early: bool = False


class ChangeRow(NamedTuple):
    """One change of the machine: an adjuster's turns (clockwise positive), or the nozzle height, mm."""

    n: int
    at: str
    what: str
    turns: float | None
    height_mm: float | None


class GapRow(NamedTuple):
    """One point of the last finding, mm."""

    point: str
    gap_mm: float
    u_mm: float
    deviation_mm: float


def readings(whole: Whole) -> list[ReadingRow]:
    """Return every answer about a gap that holds, in order."""
    rows = (_reading(n, step) for n, step in enumerate(whole.steps, 1))
    return [row for row in rows if row is not None]


def _reading(n: int, step: Step) -> ReadingRow | None:
    sides: tuple[float | None, float | None, str]
    match step.request, step.answer:
        case TakeReading() as asked, ReadingTaken(reading):
            sides = reading.low_mm, reading.high_mm, reading.how
        case LookForDaylight() as asked, Seen(clear):
            thick_mm = asked.thick_mm
            sides = (thick_mm, None, "thick card") if clear else (None, thick_mm, "thick card")
        case Feel() as asked, Felt(touch):
            low_mm = None if touch == "tight" else asked.card_mm
            sides = low_mm, None if touch == "free" else asked.card_mm, f"feel: {touch}"
        case _:
            return None
    return ReadingRow(n, step.at, asked.round, asked.point, asked.z_mm, *sides, step.early)


def changes(whole: Whole) -> list[ChangeRow]:
    """Return every change of the machine, in order."""
    return [row for n, step in enumerate(whole.steps, 1) for row in _changes(n, step)]


def _changes(n: int, step: Step) -> Iterator[ChangeRow]:
    match step.request, step.answer:
        case ((Turn() | TurnEndstop()), Turned(turns)):
            yield from (ChangeRow(n, step.at, name, value, None) for name, value in turns.items())
        case ChangeHeightByMenu(), HeightChanged(change_mm):
            yield ChangeRow(n, step.at, "nozzle height, in the machine's menu", None, change_mm)
        case SetHeight(change_mm), answer if not isinstance(answer, Skipped):
            yield ChangeRow(n, step.at, "stored nozzle height", None, change_mm)
        case Store(), answer if not isinstance(answer, Skipped):
            yield ChangeRow(n, step.at, "settings kept by the machine", None, None)


def gaps(whole: Whole) -> list[GapRow]:
    """Return the points of the last finding."""
    points = whole.finding.points if whole.finding else {}
    return [GapRow(name, p.gap_mm, p.u_mm, p.deviation_mm) for name, p in points.items()]
