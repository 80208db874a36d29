"""Readings kept in a spreadsheet become journals, one run a date. Pure but for the journals written.

The columns are `date,point,low_mm,high_mm` (an empty cell is an open side) or `date,point,gap_mm`. A date is
ISO 8601, with or without a time; without a zone it is taken as UTC. Gaps are mm at the measuring height.
"""

from __future__ import annotations

import hashlib
import os
from datetime import UTC, datetime
from pathlib import Path

import msgspec

from profiles.faults import shown
from profiles.machine import Machine
from wizard.formats.rounds_csv import BRACKET, GAP, csv_lines, csv_reading
from wizard.formats.rounds_values import RoundsFault, check_point
from wizard.journal.lines import AnyLine, End, Header, Step
from wizard.requests import Outcome, ReadingTaken, TakeReading
from wizard.rounds import Reading, Round

PROCEDURE = "import"
HEADERS = tuple(["date", *columns] for columns in (BRACKET, GAP))


def rounds_by_date(text: str, machine: Machine) -> dict[str, Round]:
    """Return one round for each date, in the order of time. Raises RoundsFault, which names the line."""
    lines = csv_lines(text)
    _, header = next(lines, (1, []))
    if header not in HEADERS:
        wanted = " or ".join(",".join(columns) for columns in HEADERS)
        raise RoundsFault(f"line 1 is {shown(','.join(header))}, but must be {wanted}")
    read: dict[str, dict[str, Reading]] = {}
    for nth, (date, *cells) in lines:
        place = f"line {nth}"
        readings = read.setdefault(_time(place, date), {})
        name = cells[0] if cells else ""
        check_point(place, name, machine)
        if name in readings:
            raise RoundsFault(f"{place}: {shown(name)} stands there a second time for {shown(date)}")
        readings[name] = csv_reading(f"{place}, {shown(name)}", cells, header[1:])
    if not read:
        raise RoundsFault("line 1 is followed by no reading")
    return {date: Round(read[date]) for date in sorted(read)}


def _time(place: str, text: str) -> str:
    """Return a time as journals have it: UTC, with microseconds. Raises RoundsFault."""
    try:
        time = datetime.fromisoformat(text)
        time = time.replace(tzinfo=UTC) if time.tzinfo is None else time.astimezone(UTC)
    except (ValueError, OverflowError):
        raise RoundsFault(f"{place} has the date {shown(text)}, but must have one like 2026-03-01") from None
    return time.isoformat(timespec="microseconds")


def write_runs(text: str, machine: Machine, folder: Path) -> tuple[int, int]:
    """Write a journal for each date; return how many are new, and how many were there already.

    Raises RoundsFault before anything is written, OSError.
    """
    rounds = rounds_by_date(text, machine)
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    new = sum(_write(folder, _lines_of(date, one, machine)) for date, one in rounds.items())
    return new, len(rounds) - new


def _lines_of(date: str, one: Round, machine: Machine) -> list[AnyLine]:
    from wizard.solver import solve

    total, z_mm = len(one.readings), machine.measuring_height_mm
    steps = [
        Step(TakeReading(name, z_mm, 1, n, total, "first"), ReadingTaken(reading), date)
        for n, (name, reading) in enumerate(one.readings.items(), 1)
    ]
    header = Header(PROCEDURE, machine, by_hand=True, created=date)
    return [header, *steps, End(Outcome(solve(machine, [one]), 1, False), date)]


def _write(folder: Path, lines: list[AnyLine]) -> bool:
    """Write one journal under a name that follows from its readings; False where it is there already."""
    header, *rest = (msgspec.json.encode(line) for line in lines)
    assert isinstance(lines[0], Header)
    answers = b"".join(msgspec.json.encode(line.answer) for line in lines if isinstance(line, Step))
    told = hashlib.sha256(lines[0].profile.name.encode() + answers).hexdigest()[:8]
    stamp = "".join(letter for letter in lines[0].created.partition("+")[0] if letter.isdigit())
    path = folder / f"{stamp}-{told}-{PROCEDURE}.jsonl"
    if path.exists():
        return False
    part = path.with_suffix(f".{os.getpid()}.part")
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "wb") as file:
        file.writelines(line + b"\n" for line in (header, *rest))
        file.flush()
        os.fsync(file.fileno())
    part.replace(path)
    return True
