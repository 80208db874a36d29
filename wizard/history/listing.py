"""Runs as a table of text, and as rows for CSV. Pure."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

import msgspec

from wizard.instructions import mm
from wizard.instructions.fitting import short
from wizard.records.run import Run

NAME_WIDTH = 30
WORDS = {"proven": "proven", "not proven": "not proven", "not ended": "broken off"}
NO_RUNS = "No runs are on record yet: `tramwright level PROFILE` makes the first."


def table(runs: Sequence[Run]) -> list[str]:
    """Return a heading and a line a run, the newest first as given; times are UTC."""
    if not runs:
        return [NO_RUNS]
    head = (
        f"{'run':<16}  {'when (UTC)':<16}  {'machine':<{NAME_WIDTH}}  {'what':<8}  {'result':<22}  worst mm"
    )
    return [head, *(_row(run) for run in runs)]


def _row(run: Run) -> str:
    worst = "" if run.worst_mm is None else mm(run.worst_mm)
    name = short(f"{'[simulated] ' if run.simulated else ''}{run.machine}", NAME_WIDTH)
    return (
        f"{run.id:<16}  {when(run.created):<16}  {name:<{NAME_WIDTH}}  {run.procedure:<8}  "
        f"{result(run):<22}  {worst}"
    ).rstrip()


def result(run: Run) -> str:
    """Return verdict and status in two words."""
    said = WORDS[run.status]
    return f"{run.verdict}, {said}" if run.verdict else said


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
