"""Runs as a table of text, and as rows for CSV. Pure."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

import msgspec

from wizard.instructions.fitting import short
from wizard.records.run import Run

SHORT_ID = 8
"""Letters of a run's id that are listed: enough to name it by."""

LEAST_NAME = 12
NO_RUNS = "No runs are on record yet: `tramwright level PROFILE` makes the first."


def table(runs: Sequence[Run], columns: int | None = None) -> list[str]:
    """Return a heading and a line a run, in the order given; times are UTC.

    columns: the room of a line, into which a machine's name is cut; None leaves names whole.
    """
    if not runs:
        return [NO_RUNS]
    room = None if columns is None else columns - SHORT_ID - 2
    head = f"{'run':<{SHORT_ID}}  {heading()}"
    return [head, *(f"{run.id[:SHORT_ID]}  {row(run, room)}" for run in runs)]


def heading() -> str:
    """Return what stands over the rows."""
    return f"{'when (UTC)':<16}  {'what':<10}  {'result':<10}  {'worst':>6}  machine"


def row(run: Run, columns: int | None = None) -> str:
    """Return a run on one line: when, what, what came of it, the worst gap's deviation in mm, the machine.

    columns: the room of the line, into which the name is cut.
    """
    worst = "" if run.worst_mm is None else f"{run.worst_mm:.3f}"
    told = f"{when(run.created):<16}  {run.procedure:<10}  {result(run):<10}  {worst:>6}  "
    name = f"{'(sim) ' if run.simulated else ''}{run.machine}"
    return told + (name if columns is None else short(name, max(columns - len(told), LEAST_NAME)))


def result(run: Run) -> str:
    """Return what came of a run, in one or two words."""
    if run.status == "not proven" and run.verdict in ("outside", "undecided"):
        return run.verdict
    return run.status


def when(at: str) -> str:
    """Return an ISO 8601 time to the minute, as it is read."""
    return at[:16].replace("T", " ")


def as_csv(rows: Iterable[Sequence[object]]) -> str:
    """Return rows as CSV (RFC 4180); None is an empty cell."""
    text = io.StringIO()
    csv.writer(text).writerows(rows)
    return text.getvalue()


def runs_csv(runs: Iterable[Run]) -> str:
    """Return all fields of the runs as CSV, but what the machine tells of itself."""
    fields = [field for field in Run.__struct_fields__ if field != "identity"]
    return as_csv([fields, *([getattr(run, field) for field in fields] for run in runs)])


def runs_object(runs: Iterable[Run]) -> dict[str, object]:
    """Return the runs as JSON's own types."""
    return {"format": "tramwright-history/1", "runs": msgspec.to_builtins(list(runs))}
