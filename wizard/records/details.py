"""What a run's tables hold: readings, changes and last gaps, as rows. Pure."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from profiles.grid import GridValue
from profiles.machine import Machine
from wizard.instructions.printing import LOOKS
from wizard.journal.lines import Step
from wizard.printing.judging import by_look, by_thickness
from wizard.records.run import Whole
from wizard.requests import (
    ChangeHeightByMenu,
    EnterGrid,
    Feel,
    Felt,
    FollowAgain,
    FollowGrid,
    HeightChanged,
    HeightKept,
    JudgePad,
    LeaveGrid,
    LookForDaylight,
    MoveMotors,
    PadMeasured,
    PadSeen,
    ReadHeight,
    ReadingTaken,
    Seen,
    SetGrid,
    SetHeight,
    Skipped,
    Store,
    TakeReading,
    Touched,
    TouchPoint,
    Turn,
    Turned,
    TurnEndstop,
)


class ReadingRow(NamedTuple):
    """One answer about a gap: bracket as read at `z_mm`; how: leaf, feel by drag, or the thick card.

    early: taken although the soak had been cut short. bed_c, nozzle_c: how warm the machine told to be then.
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
    bed_c: float | None = None
    nozzle_c: float | None = None


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
    machine = whole.header.profile
    rows = (
        (_reading(n, step) or _touch(n, step) or _pad(machine, n, step), step)
        for n, step in enumerate(whole.steps, 1)
    )
    return [row._replace(bed_c=step.bed_c, nozzle_c=step.nozzle_c) for row, step in rows if row is not None]


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


def _touch(n: int, step: Step) -> ReadingRow | None:
    """Return a touched point: at the mean contact the gap is what the probe offset says it is."""
    match step.request, step.answer:
        case TouchPoint() as asked, Touched(contacts) if contacts:
            z_mm, half_mm = (
                sum(contacts) / len(contacts),
                math.sqrt(3.0) * math.hypot(asked.u_mm, asked.offset_u_mm),
            )
            low_mm, high_mm = round(asked.offset_mm - half_mm, 4), round(asked.offset_mm + half_mm, 4)
            return ReadingRow(n, step.at, asked.round, asked.point, round(z_mm, 4), low_mm, high_mm, "touch")
        case _:
            return None


def _pad(machine: Machine, n: int, step: Step) -> ReadingRow | None:
    """Return what a pad of a check print tells of the gap at layer height, as hot as it was printed."""
    match step.request, step.answer:
        case JudgePad(how="caliper" | "micrometer") as asked, PadMeasured(thick_mm):
            reading, how = by_thickness(machine, thick_mm, asked.how), f"pad: {asked.how}, {thick_mm:g} mm"
        case JudgePad() as asked, PadSeen(look):
            reading, how = by_look(machine, look), f"pad: {LOOKS[look]}"
        case _:
            return None
    low_mm, high_mm = (None if side is None else round(side, 4) for side in (reading.low_mm, reading.high_mm))
    height_mm = machine.first_layer.height_mm
    return ReadingRow(n, step.at, asked.round, asked.point, height_mm, low_mm, high_mm, how)


def changes(whole: Whole) -> list[ChangeRow]:
    """Return every change of the machine, in order."""
    return [row for n, step in enumerate(whole.steps, 1) for row in _changes(n, step)]


def _changes(n: int, step: Step) -> Iterator[ChangeRow]:
    match step.request, step.answer:
        case ((Turn() | TurnEndstop() | MoveMotors()), Turned(turns)):
            yield from (ChangeRow(n, step.at, name, value, None) for name, value in turns.items())
        case ChangeHeightByMenu(), HeightChanged(change_mm):
            yield ChangeRow(n, step.at, "nozzle height, in the machine's menu", None, change_mm)
        case SetHeight(change_mm), answer if not isinstance(answer, Skipped):
            yield ChangeRow(n, step.at, "stored nozzle height", None, change_mm)
        case Store(), answer if not isinstance(answer, Skipped):
            yield ChangeRow(n, step.at, "settings kept by the machine", None, None)
        case ReadHeight(), HeightKept(offset_mm):
            yield ChangeRow(n, step.at, f"stored nozzle height read back: {offset_mm:.3f} mm", None, None)
        case SetGrid(values), _:
            yield ChangeRow(n, step.at, f"compensation set, {_range(values)}", None, None)
        case EnterGrid(values), _:
            yield ChangeRow(n, step.at, f"compensation typed in, {_range(values)}", None, None)
        case ((FollowGrid() | FollowAgain()), _):
            yield ChangeRow(n, step.at, "compensation switched on", None, None)
        case LeaveGrid(), _:
            yield ChangeRow(n, step.at, "compensation switched off", None, None)


def _range(values: Sequence[GridValue]) -> str:
    """Return how many numbers there are, and the least and the largest, mm."""
    numbers = [value.offset_mm for value in values] or [0.0]
    return f"{len(values)} numbers from {min(numbers):+.3f} to {max(numbers):+.3f} mm"


def gaps(whole: Whole) -> list[GapRow]:
    """Return the points of the last finding."""
    points = whole.finding.points if whole.finding else {}
    return [GapRow(name, p.gap_mm, p.u_mm, p.deviation_mm) for name, p in points.items()]
