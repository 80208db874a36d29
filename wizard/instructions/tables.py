"""The points of a finding as lines in columns. Pure."""

from __future__ import annotations

from wizard.instructions.figures import signed_mm
from wizard.instructions.fitting import short
from wizard.solver.finding import Finding

NAME_COLUMN = 24
HEADING = f"{'point':<{NAME_COLUMN}} {'gap':>6} {'u':>6} {'off':>6}  "


def result_table(finding: Finding) -> tuple[str, ...]:
    """Return a heading and a line a point: gap, standard uncertainty, deviation by sign and in words, mm."""
    if not finding.points:
        return ()
    rows = tuple(
        f"{short(name, NAME_COLUMN):<{NAME_COLUMN}} {p.gap_mm:>6.2f} {p.u_mm:>6.3f} "
        f"{signed_mm(p.deviation_mm):>6}  {_word(p.deviation_mm)}".rstrip()
        for name, p in finding.points.items()
    )
    return (HEADING + "mm", *rows)


def _word(deviation_mm: float) -> str:
    rounded = round(deviation_mm, 2)
    return "" if not rounded else "wide" if rounded > 0 else "narrow"
