"""A report as text, for a screen or a printer of 80 columns. Pure."""

from __future__ import annotations

from collections.abc import Iterable

from wizard.instructions.fitting import short, wrapped
from wizard.report.content import CAUTIONS, RULE, SIMULATED, Report

COLUMNS = 79
NAME_WIDTH = 22


def text(report: Report) -> str:
    """Return the report as lines of text."""
    parts = (
        [report.title.upper(), report.job, *([SIMULATED] if report.simulated else [])],
        report.about,
        ["RESULT", *report.verdict],
        [f"POINTS, {report.unit}", *_points(report), RULE],
        _named("WHAT WAS CHANGED", report.changes),
        _named("WHAT THE ADJUSTERS REALLY DO", report.learned),
        ["CAUTIONS", *CAUTIONS],
        ["checked by ____________________   date, signature ____________________"],
        [report.footer, report.who],
    )
    return "\n".join("\n".join(_broken(part)) + "\n" for part in parts if part)


def _broken(lines: Iterable[str]) -> list[str]:
    """Break sentences at the sheet's edge; what fits, as the rows of a table do, stays as it is."""
    return [
        part
        for line in lines
        if line
        for part in ([line] if len(line) <= COLUMNS else wrapped([line], COLUMNS))
    ]


def _named(heading: str, rows: tuple[tuple[str, str], ...]) -> list[str]:
    return [heading, *(f"{name}: {told}" for name, told in rows)] if rows else []


def _points(report: Report) -> list[str]:
    head = f"{'point':<{NAME_WIDTH}} {'first read':>16} {'gap':>6} {'U':>6} {'off':>7}  verdict"
    rows = [
        f"{short(p.point, NAME_WIDTH):<{NAME_WIDTH}} {p.before:>16} {p.gap:>6} {p.expanded:>6} "
        f"{p.deviation:>7}  {p.judged}"
        for p in report.points
    ]
    return [head, *rows] if rows else ["No point is known."]
