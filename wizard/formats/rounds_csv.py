"""ROUNDS as CSV: one round, a line a point. Pure."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator

from profiles.faults import printable, shown
from profiles.machine import Machine
from wizard.formats.rounds_values import RoundsFault, check_point, exact, reading
from wizard.rounds import Reading, Round

BRACKET = ["point", "low_mm", "high_mm"]
GAP = ["point", "gap_mm"]
_NUMBER = re.compile(
    r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?|[+-]?(?:inf|infinity|nan)", re.IGNORECASE
)


def rounds_of_csv(text: str, machine: Machine) -> tuple[Round, ...]:
    """Return the one round of a CSV file. Raises RoundsFault."""
    lines = csv_lines(text)
    _, header = next(lines, (1, []))
    if header not in (BRACKET, GAP):
        raise RoundsFault(
            f"line 1 is {shown(','.join(header))}, but must be {','.join(BRACKET)} or {','.join(GAP)},"
            " unless the file is JSON and starts with a brace"
        )
    readings: dict[str, Reading] = {}
    for nth, cells in lines:
        name = cells[0]
        place = f"line {nth}"
        check_point(place, name, machine)
        if name in readings:
            raise RoundsFault(
                f"{place}: {shown(name)} stands there a second time, but each point may stand once"
            )
        readings[name] = csv_reading(f"{place}, {shown(name)}", cells, header)
    return (Round(readings),)


def csv_lines(text: str, separator: str = ",") -> Iterator[tuple[int, list[str]]]:
    """Yield number and cells of each line that is not empty. Raises RoundsFault."""
    rows = csv.reader(io.StringIO(text, newline=""), strict=True, delimiter=separator)
    try:
        for row in rows:
            if any(cell.strip() for cell in row):
                yield rows.line_num, [cell.strip() for cell in row]
    except csv.Error as error:
        raise RoundsFault(f"line {rows.line_num} is not CSV: {printable(str(error))}") from None


def csv_reading(place: str, cells: list[str], header: list[str]) -> Reading:
    """Return the reading of one line under `header`, BRACKET or GAP. Raises RoundsFault."""
    if len(cells) != len(header):
        raise RoundsFault(
            f"{place} has {len(cells)} columns, but must have {len(header)} ({','.join(header)}),"
            " with a point, not a comma, before the decimals"
        )
    numbers = [_cell(f"{place}, {column}", cell) for column, cell in zip(header[1:], cells[1:], strict=True)]
    return exact(place, numbers[0]) if header == GAP else reading(place, numbers[0], numbers[1])


def _cell(place: str, cell: str) -> float | None:
    if not cell:
        return None
    if not _NUMBER.fullmatch(cell):
        raise RoundsFault(f"{place} is {shown(cell)}, but must be a number of mm, or empty for an open side")
    return float(cell)
