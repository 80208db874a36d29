"""A report as text. Pure."""

from __future__ import annotations

from wizard.instructions.fitting import short
from wizard.report.content import CAUTIONS, RULE, SIMULATED, Report

NAME_WIDTH = 24


def text(report: Report) -> str:
    """Return the report as lines of text."""
    lines = [
        report.title.upper(),
        *([SIMULATED] if report.simulated else []),
        *report.about,
        "",
        *report.verdict,
        "",
        *_points(report),
        "",
        *(f"{name}: {told}" for name, told in report.changes),
        *(f"{name}: {told}" for name, told in report.learned),
        "",
        RULE,
        *CAUTIONS,
        "",
        "checked by ____________________   date, signature ____________________",
        report.footer,
    ]
    return "\n".join(lines) + "\n"


def _points(report: Report) -> list[str]:
    head = f"{'point, mm':<{NAME_WIDTH}} {'first read':>16} {'gap':>6} {'U':>6} {'off':>6}  verdict"
    rows = [
        f"{short(p.point, NAME_WIDTH):<{NAME_WIDTH}} {p.before:>16} {p.gap:>6} {p.expanded:>6} "
        f"{p.deviation:>6}  {p.judged}"
        for p in report.points
    ]
    return [head, *rows] if rows else ["No point is known."]
