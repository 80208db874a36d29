"""The points of a finding as a table: gap, expanded uncertainty, deviation, judgement in a word."""

from __future__ import annotations

from rich.text import Text

from profiles.machine import Machine
from wizard.solver.finding import Finding
from wizard.widgets.marks import Marks
from wizard.widgets.scene import Judged, note_of_finding

_WORDS: dict[Judged, str] = {"wide": "wide", "narrow": "narrow", "within": "in", "open": "open"}


def points_table(finding: Finding, machine: Machine, columns: int, marks: Marks) -> Text:
    """Return a row for each point under a head; names give way where the window is slim."""
    head = f"{'gap':>6} {marks.plus_minus + 'U':>6} {'off':>6}  mm"
    room = min(max(columns - len(head) - 9, 6), 24)
    table = Text(f"{'':<{room}}{head}", "bold", no_wrap=True)
    for name, point in finding.points.items():
        judged = note_of_finding(point, machine).judged
        figures = f"{point.gap_mm:6.2f} {2 * point.u_mm:6.2f} {point.deviation_mm:+6.2f}"
        sign = {"wide": marks.wide, "narrow": marks.narrow, "within": marks.within}.get(judged, "?")
        table.append(f"\n{name[:room]:<{room}}{figures}  {sign} {_WORDS[judged]}", "not bold")
    return table
