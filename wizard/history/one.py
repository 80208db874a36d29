"""One run whole: as text, as JSON's own types, as rows for CSV. Pure.

None of it holds the port, a host's or a user's name.
"""

from __future__ import annotations

from typing import Any

import msgspec

from wizard.formats.finding_json import finding_object
from wizard.history.listing import as_csv, result, when
from wizard.instructions import bracket, finding_lines, mm, result_table, signed_mm
from wizard.instructions.figures import counted
from wizard.records import details
from wizard.records.details import ChangeRow, GapRow, ReadingRow
from wizard.records.run import Run, Whole
from wizard.rounds import Reading

FORMAT = "tramwright-record/1"
EARLY = ", before the soak's end"


def text(whole: Whole) -> list[str]:
    """Return the run as lines: what it was, what was read and changed, what came of it."""
    return [*heading(whole), "", *course(whole), "", *outcome(whole)]


def heading(whole: Whole) -> list[str]:
    """Return what run it was, on which machine, when, with which nozzle."""
    run = whole.run
    return [f"Run {run.id}: {run.procedure}, {when(run.created)} to {when(run.ended)} UTC", *about(whole)]


def about(whole: Whole) -> list[str]:
    """Return on which machine it was, how warm, with which nozzle, and what came of it."""
    run = whole.run
    lines = [
        f"Machine: {run.machine}{' [simulated]' if run.simulated else ''}",
        _says_of_itself(run),
        f"Measured with plate at {_warm(run.bed_c)}, nozzle at {_warm(run.nozzle_c)}.",
        touch_words(whole),
        f"Nozzle: {nozzle_words(whole)}" if nozzle_words(whole) else "",
        f"Remark: {run.remark}" if run.remark else "",
        f"Result: {result(run)}; {counted(run.rounds, 'round')}, {counted(run.answers, 'answer')}.",
    ]
    return [line for line in lines if line]


def _says_of_itself(run: Run) -> str:
    """Return what the machine told over the line of what it is; "" where it told nothing."""
    told = "; ".join(f"{key} {value}" for key, value in sorted(run.identity.items()))
    return f"It says of itself: {told}" if told else ""


def touch_words(whole: Whole) -> str:
    """Return how well touches repeated and what they were off by; "" where the machine did not touch."""
    facts = whole.facts
    if facts.touch_sd_mm is None:
        return ""
    spread = f"Touch: standard deviation {facts.touch_sd_mm:.4f} mm (repeatability, ISO 5725-2)"
    if facts.probe_offset_mm is None:
        return f"{spread}."
    return f"{spread}; a gauge says {facts.probe_offset_mm:+.3f} mm more, the probe offset."


def nozzle_words(whole: Whole) -> str:
    """Return what the person said of the nozzle; "" where nothing."""
    run = whole.run
    size = "" if run.nozzle_mm is None else f"{mm(run.nozzle_mm)} mm"
    return ", ".join(part for part in (run.nozzle, size) if part)


def _warm(degrees_c: float) -> str:
    return f"{degrees_c:.0f} °C" if degrees_c > 0.0 else "room temperature"


def course(whole: Whole) -> list[str]:
    """Return readings and changes in their order, one line each."""
    rows: list[ReadingRow | ChangeRow] = [*details.readings(whole), *details.changes(whole)]
    return ["What was read and changed:", *(f"  {_told(row)}" for row in sorted(rows, key=lambda r: r.n))]


def _told(row: ReadingRow | ChangeRow) -> str:
    clock = row.at[11:19]
    if isinstance(row, ReadingRow):
        said = bracket(Reading(row.low_mm, row.high_mm))
        early = EARLY if row.early else ""
        return f"{clock}  round {row.round}  {row.point}: {said} at Z {mm(row.z_mm)}  ({row.how}){early}"
    if row.turns is not None:
        way = "clockwise" if row.turns >= 0 else "anticlockwise"
        return f"{clock}  turned {row.what}: {abs(row.turns):.4g} turn {way}"
    if row.height_mm is not None:
        return f"{clock}  {row.what}: {signed_mm(row.height_mm)} mm"
    return f"{clock}  {row.what}"


def outcome(whole: Whole) -> list[str]:
    """Return the last finding in words and its table."""
    if whole.finding is None:
        return ["No finding: it was broken off before."]
    return [*finding_lines(whole.finding, whole.header.profile), *result_table(whole.finding)]


def record_object(whole: Whole) -> dict[str, Any]:
    """Return the run as JSON's own types."""
    finding, profile = whole.finding, whole.header.profile
    return {
        "format": FORMAT,
        "run": msgspec.to_builtins(whole.run),
        "profile": msgspec.to_builtins(profile),
        "rounds": msgspec.to_builtins(whole.rounds),
        "readings": [row._asdict() for row in details.readings(whole)],
        "changes": [row._asdict() for row in details.changes(whole)],
        "finding": finding_object(finding, finding_lines(finding, profile)) if finding else None,
    }


COLUMNS = (
    "run",
    "n",
    "at",
    "kind",
    "round",
    "name",
    "z_mm",
    "low_mm",
    "high_mm",
    "how",
    "turns",
    "height_mm",
    "early",
)


def rows(whole: Whole) -> list[tuple[object, ...]]:
    """Return every reading, change and last gap as a row under COLUMNS."""
    run = whole.run.id
    read = [
        (run, r.n, r.at, "reading", r.round, r.point, r.z_mm, r.low_mm, r.high_mm, r.how, None, None, r.early)
        for r in details.readings(whole)
    ]
    changed = [
        (run, c.n, c.at, "change", None, c.what, None, None, None, None, c.turns, c.height_mm, None)
        for c in details.changes(whole)
    ]
    z_mm = whole.header.profile.measuring_height_mm
    ended = [
        (
            run,
            None,
            whole.run.ended,
            "gap",
            whole.run.rounds,
            g.point,
            z_mm,
            *_sides(g),
            "U = 2u",
            None,
            None,
            None,
        )
        for g in details.gaps(whole)
    ]
    return [*sorted([*read, *changed], key=lambda row: int(str(row[1]))), *ended]


def _sides(gap: GapRow) -> tuple[float, float]:
    return gap.gap_mm - 2.0 * gap.u_mm, gap.gap_mm + 2.0 * gap.u_mm


def record_csv(*runs: Whole) -> str:
    """Return runs as CSV, one row a reading, change or last gap."""
    return as_csv([COLUMNS, *(row for whole in runs for row in rows(whole))])
