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
from wizard.records.details import ChangeRow, ReadingRow
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
        _warmth(run) + _told_warmth(whole),
        touch_words(whole),
        f"Nozzle: {nozzle_words(whole)}" if nozzle_words(whole) else "",
        f"Remark: {run.remark}" if run.remark else "",
        f"Result: {result(run)}; {counted(run.rounds, 'round')}, {counted(run.answers, 'answer')}.",
    ]
    return [line for line in lines if line]


def _warmth(run: Run) -> str:
    """Return how warm it was measured; of readings kept elsewhere it is only known how warm was meant."""
    measured = "To be measured" if run.procedure == "import" else "Measured"
    return f"{measured} with plate at {_warm(run.bed_c)}, nozzle at {_warm(run.nozzle_c)}."


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


def _told_warmth(whole: Whole) -> str:
    """Return between which temperatures it was read, as the machine told them; "" where it told none."""
    read = details.readings(whole)
    spans = (
        _span("plate", [r.bed_c for r in read if r.bed_c is not None]),
        _span("nozzle", [r.nozzle_c for r in read if r.nozzle_c is not None]),
    )
    told = ", ".join(filter(None, spans))
    return f" It told: {told}." if told else ""


def _span(of: str, degrees_c: list[float]) -> str:
    if not degrees_c:
        return ""
    low, high = f"{min(degrees_c):.1f}", f"{max(degrees_c):.1f}"
    return f"{of} {low if low == high else f'{low} to {high}'} °C"


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
    "bed_c",
    "nozzle_c",
)


def rows(whole: Whole) -> list[tuple[object, ...]]:
    """Return every reading, change and last gap as a row under COLUMNS."""
    run, machine = whole.run, whole.header.profile
    read = [_cells(run=run.id, kind="reading", name=r.point, **r._asdict()) for r in details.readings(whole)]
    changed = [_cells(run=run.id, kind="change", name=c.what, **c._asdict()) for c in details.changes(whole)]
    ended = [
        _cells(
            run=run.id,
            at=run.ended,
            kind="gap",
            round=run.rounds,
            name=gap.point,
            z_mm=machine.measuring_height_mm,
            low_mm=gap.gap_mm - 2.0 * gap.u_mm,
            high_mm=gap.gap_mm + 2.0 * gap.u_mm,
            how="U = 2u",
        )
        for gap in details.gaps(whole)
    ]
    return [*sorted([*read, *changed], key=lambda row: int(str(row[1]))), *ended]


def _cells(**known: object) -> tuple[object, ...]:
    """Return a row: what is known under its column, else nothing."""
    return tuple(known.get(column) for column in COLUMNS)


def record_csv(*runs: Whole) -> str:
    """Return runs as CSV, one row a reading, change or last gap."""
    return as_csv([COLUMNS, *(row for whole in runs for row in rows(whole))])
