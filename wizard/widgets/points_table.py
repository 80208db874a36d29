"""The points of a finding as a table: gap, expanded uncertainty, deviation, judgement in a word."""

from __future__ import annotations

import msgspec
from rich.text import Text

from profiles.machine import Machine
from wizard.solver.finding import Finding, PointFinding
from wizard.widgets.marks import Marks
from wizard.widgets.scene import Judged, note_of_finding

_WORDS: dict[Judged, str] = {"wide": "wide", "narrow": "narrow", "within": "in", "open": "open"}
_LONGEST_WORD = 6
LEAST_FOR_NAMES = 6


class _Form(msgspec.Struct, frozen=True):
    """How wide each figure is set, and whether the judgement stands there in a word beside its sign."""

    figure: int
    worded: bool = True

    @property
    def columns(self) -> int:
        """What figures and judgement take."""
        return 3 * self.figure + 4 + (2 + _LONGEST_WORD if self.worded else 2)


_FORMS = (_Form(6), _Form(5), _Form(5, worded=False))
"""From the roomiest to the barest; names are cut only in the last."""


def points_table(finding: Finding, machine: Machine, columns: int, marks: Marks) -> Text:
    """Return a row for each point under a head, as full as leaves names whole; empty without points."""
    if not finding.points:
        return Text()
    longest = max(map(len, finding.points))
    form = next((form for form in _FORMS if longest + form.columns <= columns), _FORMS[-1])
    room = min(longest, max(columns - form.columns, LEAST_FOR_NAMES))
    head = " ".join(f"{word:>{form.figure}}" for word in ("gap", f"{marks.plus_minus}U", "off"))
    table = Text(f"{'':<{room}}{head}  mm", "bold", no_wrap=True)
    for name, point in finding.points.items():
        judged = note_of_finding(point, machine).judged
        sign = {"wide": marks.wide, "narrow": marks.narrow, "within": marks.within}.get(judged, "?")
        word = f" {_WORDS[judged]}" if form.worded else ""
        table.append(f"\n{name[:room]:<{room}}{_figures(point, form)}  {sign}{word}", "not bold")
    return table


def _figures(point: PointFinding, form: _Form) -> str:
    wide = form.figure
    return f"{point.gap_mm:{wide}.2f} {2 * point.u_mm:{wide}.2f} {point.deviation_mm:+{wide}.2f}"
