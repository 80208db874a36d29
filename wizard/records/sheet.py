"""Readings kept in a spreadsheet, as people really save it: lines into days. Pure.

The first line names the columns, in any order: date, point, and low_mm with high_mm (an empty cell is an open
side) or gap_mm; nozzle and remark may be among them. Columns are parted by commas, semicolons or tabs;
decimals may have a comma where that parts no columns. A date is ISO 8601, with or without a time, or day,
month and year with dots; without a zone it is taken as UTC. Gaps are mm at the measuring height.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime, timedelta
from typing import NamedTuple

from profiles.faults import shown
from profiles.machine import Machine
from wizard.formats.rounds_csv import BRACKET, GAP, csv_lines, csv_reading
from wizard.formats.rounds_values import RoundsFault, check_point
from wizard.rounds import Reading, Round

SEPARATORS = (",", ";", "\t")
WORDS = ("nozzle", "remark")
MOST_FAULTS = 12
DAY_FIRST = re.compile(r"(\d{1,2})\.(\d{1,2})\.(\d{4})(?:[ T](\d{1,2}):(\d{2}))?")
YEAR_FIRST = re.compile(r"(\d{4})/(\d{1,2})/(\d{1,2})(?:[ T](\d{1,2}):(\d{2}))?")
EITHER = re.compile(r"\d{1,2}[/-]\d{1,2}[/-]\d{2,4}\b.*")
DECIMAL_COMMA = re.compile(r"[+-]?\d*,\d+")
AHEAD = timedelta(days=1)
"""A clock may differ, and a zone may be missing; what lies further ahead is a slip."""


class Day(NamedTuple):
    """What was read at one date; nozzle, remark: what was said of it."""

    readings: dict[str, Reading]
    nozzle: str = ""
    remark: str = ""

    @property
    def round(self) -> Round:
        """The readings as a round."""
        return Round(self.readings)


class Sheet(NamedTuple):
    """The days by their time, the earliest first, and the columns that were not taken."""

    days: dict[str, Day]
    left_out: tuple[str, ...]


def text_of(data: bytes) -> str:
    """Return the text of a file as spreadsheets write it. Raises UnicodeDecodeError."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252")


def sheet_of(text: str, machine: Machine, now: datetime) -> Sheet:
    """Return what a spreadsheet holds. Raises RoundsFault, which names each line that cannot be taken."""
    lines = csv_lines(text, _separator(text))
    names = [_column(cell) for cell in next(lines, (1, [""]))[1]]
    header = _known(names)
    days: dict[str, Day] = {}
    faults: list[str] = []
    for nth, cells in lines:
        try:
            _take(days, f"line {nth}", _row(nth, names, cells), header, machine, now)
        except RoundsFault as fault:
            faults.append(str(fault))
    if faults:
        raise RoundsFault(_all(faults))
    if not days:
        raise RoundsFault("line 1 is followed by no reading")
    left_out = tuple(name for name in names if name and name not in ("date", *header, *WORDS))
    return Sheet({date: days[date] for date in sorted(days)}, left_out)


def _separator(text: str) -> str:
    """Return what parts the columns of the first line."""
    first = next((line for line in text.splitlines() if line.strip()), "")
    return max(SEPARATORS, key=first.count)


def _column(cell: str) -> str:
    """Return a column's name however it is written: "Gap (mm)" is gap_mm."""
    return re.sub(r"[\W_]+", "_", cell.casefold()).strip("_")


def _known(names: list[str]) -> list[str]:
    """Return which columns hold the gap: BRACKET or GAP. Raises RoundsFault."""
    named = [name for name in names if name]
    found = [header for header in (BRACKET, GAP) if {"date", *header} <= set(names)]
    if len(found) != 1 or len(set(named)) < len(named):
        wanted = " or ".join(",".join(["date", *columns]) for columns in (BRACKET, GAP))
        raise RoundsFault(
            f"line 1 is {shown(','.join(names))}, but must name the columns {wanted}, each once, in any order"
        )
    return found[0]


def _row(nth: int, names: list[str], cells: list[str]) -> dict[str, str]:
    """Return the cells of a line by column; those left out at its end are empty. Raises RoundsFault."""
    while len(cells) > len(names) and not cells[-1]:
        cells = cells[:-1]
    if len(cells) > len(names):
        raise RoundsFault(
            f"line {nth} has {len(cells)} columns, but line 1 has {len(names)}; where decimals have a comma,"
            " part the columns by semicolons"
        )
    return dict(zip(names, cells + [""] * (len(names) - len(cells)), strict=True))


def _take(  # noqa: PLR0917 -- a line, and all that it is held against
    days: dict[str, Day],
    place: str,
    row: Mapping[str, str],
    header: list[str],
    machine: Machine,
    now: datetime,
) -> None:
    """Add the reading of one line to its day. Raises RoundsFault."""
    date = _time(place, row["date"], now)
    name = _point(row["point"], machine)
    check_point(place, name, machine)
    readings, nozzle, remark = days.get(date, Day({}))
    if name in readings:
        raise RoundsFault(f"{place}: {shown(name)} stands there a second time for {shown(row['date'])}")
    cells = [name, *(_number(row[column]) for column in header[1:])]
    reading = csv_reading(f"{place}, {shown(name)}", cells, header)
    said = [_joined(old, row.get(word, "")) for word, old in zip(WORDS, (nozzle, remark), strict=True)]
    days[date] = Day({**readings, name: reading}, *said)


def _joined(old: str, new: str) -> str:
    return "; ".join(dict.fromkeys(each for each in (*old.split("; "), new) if each))


def _point(name: str, machine: Machine) -> str:
    """Return the machine's own name of a point, however it is spaced or capitalised."""
    plain = " ".join(name.split())
    same = (p.name for p in machine.point if p.name.casefold() == plain.casefold())
    return next(same, plain)


def _number(cell: str) -> str:
    return cell.replace(",", ".") if DECIMAL_COMMA.fullmatch(cell) else cell


def _time(place: str, text: str, now: datetime) -> str:
    """Return a time as journals have it: UTC, with microseconds. Raises RoundsFault."""
    try:
        time = _parsed(text)
        time = time.replace(tzinfo=UTC) if time.tzinfo is None else time.astimezone(UTC)
    except (ValueError, OverflowError):
        why = ", which may be two days" if EITHER.fullmatch(text) else ""
        raise RoundsFault(
            f"{place} has the date {shown(text)}{why}, but must have one like 2026-03-25 or 25.3.2026"
        ) from None
    if time > now + AHEAD:
        raise RoundsFault(f"{place} has the date {shown(text)}, which is yet to come")
    return time.isoformat(timespec="microseconds")


def _parsed(text: str) -> datetime:
    """Return the time that a cell tells. Raises ValueError."""
    if found := DAY_FIRST.fullmatch(text):
        day, month, year, hour, minute = (int(part or 0) for part in found.groups())
        return datetime(year, month, day, hour, minute)
    if found := YEAR_FIRST.fullmatch(text):
        return datetime(*(int(part or 0) for part in found.groups()))  # type: ignore[arg-type]
    return datetime.fromisoformat(text)


def _all(faults: Iterable[str]) -> str:
    """Return one fault as it is, several as lines."""
    told = list(faults)
    if len(told) == 1:
        return told[0]
    more = [f"... and {len(told) - MOST_FAULTS} more"] if len(told) > MOST_FAULTS else []
    return "\n  ".join([f"{len(told)} lines cannot be taken:", *told[:MOST_FAULTS], *more])
