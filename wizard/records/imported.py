"""Readings kept in a spreadsheet become journals, one run a date."""

from __future__ import annotations

import hashlib
import os
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

import msgspec

from profiles.machine import Machine
from wizard.journal.files import JournalError, header_of, private_folder, read_lines
from wizard.journal.lines import AnyLine, End, Header, Step
from wizard.records.sheet import Day, sheet_of
from wizard.requests import Outcome, ReadingTaken, TakeReading

PROCEDURE = "import"


class BroughtIn(NamedTuple):
    """New runs, those that were there already, columns not taken, times that are on record twice now."""

    new: int
    known: int
    left_out: tuple[str, ...]
    doubled: tuple[str, ...]


def write_runs(text: str, machine: Machine, folder: Path) -> BroughtIn:
    """Write a journal for each date. Raises RoundsFault before anything is written, OSError."""
    sheet = sheet_of(text, machine, datetime.now(UTC))
    private_folder(folder)
    written = [date for date, day in sheet.days.items() if _write(folder, _lines_of(date, day, machine))]
    doubled = tuple(
        date[:16].replace("T", " ") for date in written if _is_doubled(folder, date, machine.name)
    )
    return BroughtIn(len(written), len(sheet.days) - len(written), sheet.left_out, doubled)


def _lines_of(date: str, day: Day, machine: Machine) -> list[AnyLine]:
    from wizard.solver import solve

    total, z_mm = len(day.readings), machine.measuring_height_mm
    steps = [
        Step(TakeReading(name, z_mm, 1, n, total, "first"), ReadingTaken(reading), date)
        for n, (name, reading) in enumerate(day.readings.items(), 1)
    ]
    header = Header(PROCEDURE, machine, by_hand=True, created=date, nozzle=day.nozzle, remark=day.remark)
    return [header, *steps, End(Outcome(solve(machine, [day.round]), 1, False), date)]


def _stamp(date: str) -> str:
    return "".join(letter for letter in date.partition("+")[0] if letter.isdigit())


def _is_doubled(folder: Path, date: str, machine: str) -> bool:
    """Whether another import of this date and machine is on record, too."""
    found = 0
    for path in folder.glob(f"{_stamp(date)}-*-{PROCEDURE}.jsonl"):
        try:
            found += header_of(read_lines(path), path).profile.name == machine
        except JournalError:
            continue
    return found > 1


def _write(folder: Path, lines: list[AnyLine]) -> bool:
    """Write one journal under a name that follows from its readings; False where it is there already."""
    header, *rest = (msgspec.json.encode(line) for line in lines)
    assert isinstance(lines[0], Header)
    answers = b"".join(msgspec.json.encode(line.answer) for line in lines if isinstance(line, Step))
    told = hashlib.sha256(lines[0].profile.name.encode() + answers).hexdigest()[:8]
    path = folder / f"{_stamp(lines[0].created)}-{told}-{PROCEDURE}.jsonl"
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
