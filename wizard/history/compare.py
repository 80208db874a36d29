"""Two runs beside each other: what has moved from one to the other, point by point. Pure.

What moved in between is the gap as the later run found it, less the gap as the earlier one had left it. A
recheck and readings kept elsewhere tell how the plate was found; a levelling begins by tightening all
adjusters and finds nothing: there only what both have left can be put side by side.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import msgspec

from profiles.machine import Machine
from wizard.history.listing import SHORT_ID, result, when
from wizard.history.one import nozzle_words
from wizard.instructions.figures import counted
from wizard.instructions.fitting import short
from wizard.instructions.rechecking import days_words
from wizard.records.bases import days_between
from wizard.records.run import Run, Whole
from wizard.records.visits import found_by
from wizard.solver.finding import Finding, PointFinding

NAME_WIDTH = 22
SAME = "One and the same run: name another one to compare it with."
NOT_COMPARED = (
    "These are two machines: their points are not the same places, and their gaps are not compared."
)


class Row(NamedTuple):
    """One point in both, mm: left by the earlier, found and left by the later.

    u_mm: standard uncertainty of what it moved; change_u_mm: of what both left, one less the other.
    """

    left_mm: float
    found_mm: float | None
    after_mm: float
    u_mm: float
    change_u_mm: float

    @property
    def moved_mm(self) -> float:
        """How far the gap has opened: by what was found, else by what was left."""
        return (self.after_mm if self.found_mm is None else self.found_mm) - self.left_mm

    @property
    def is_sure(self) -> bool:
        """Whether it moved by more than its expanded uncertainty."""
        return abs(self.moved_mm) > 2.0 * self.u_mm


def in_order(one: Whole, other: Whole) -> tuple[Whole, Whole]:
    """Return the two runs, the earlier first."""
    return (one, other) if one.run.created <= other.run.created else (other, one)


def moves(one: Whole, other: Whole) -> dict[str, Row]:
    """Return a row for each point that both know. `one` is the earlier."""
    before, after = _points(one.finding), _points(other.finding)
    found = _points(found_by(other))
    return {name: _moved(p, found.get(name), after[name]) for name, p in before.items() if name in after}


def _points(finding: Finding | None) -> dict[str, PointFinding]:
    return finding.points if finding else {}


def _moved(left: PointFinding, found: PointFinding | None, after: PointFinding) -> Row:
    u_mm, change_u_mm = (math.hypot(left.u_mm, each.u_mm) for each in (found or after, after))
    return Row(left.gap_mm, found.gap_mm if found else None, after.gap_mm, u_mm, change_u_mm)


def text(one: Whole, other: Whole, runs_between: int = 0) -> list[str]:
    """Return the comparison as lines. runs_between: other runs of the machine that lie between the two."""
    early, late = in_order(one, other)
    if early.run.id == late.run.id:
        return [_side("this run", early.run), SAME]
    lines = [_side("earlier", early.run), _side("later", late.run), *_between(early, late, runs_between)]
    if early.run.machine != late.run.machine:
        return [*lines, NOT_COMPARED]
    both = moves(early, late)
    return [*lines, "", *(_table(both) if both else ["No point is known from both."])]


def _side(word: str, run: Run) -> str:
    worst = "" if run.worst_mm is None else f", {run.worst_mm:.3f} mm at worst"
    simulated = " [simulated]" if run.simulated else ""
    told = f"{when(run.created)} UTC, {run.procedure}, {result(run)}{worst}, {run.machine}{simulated}"
    return f"{word}: {run.id[:SHORT_ID]}, {told}"


def _between(early: Whole, late: Whole, runs: int) -> list[str]:
    """Return how long lies between them, and what else is not the same in both."""
    days = days_words(days_between(early.run.ended, late.run.created))
    others = f", and {counted(runs, 'other run')}, whose turns count in" if runs else ""
    lines = [f"Between them: {days}{others}."]
    nozzles = [nozzle_words(each) or "not told" for each in (early, late)]
    if nozzles[0] != nozzles[1]:
        lines.append(f"Nozzle: {nozzles[0]}, then {nozzles[1]}.")
    parts = differing(early.header.profile, late.header.profile)
    if parts and early.run.machine == late.run.machine:
        lines.append(f"The machine's description is not the same in both: {', '.join(parts)}.")
    return lines


def differing(one: Machine, other: Machine) -> list[str]:
    """Return the parts of two descriptions that are not the same, as their files call them."""
    early, late = (msgspec.to_builtins(each) for each in (one, other))
    return [key for key in early if early[key] != late.get(key)]


def _table(both: dict[str, Row]) -> list[str]:
    """Return the points under their heading, as narrow as their names allow."""
    wide = min(max(len("point, mm"), *map(len, both)), NAME_WIDTH)
    head = f"{'point, mm':<{wide}} {'left':>6} {'found':>6} {'moved':>7} {'U':>6} {'sure':<4} {'now':>6}"
    return [head, *(_row(name, row, wide) for name, row in both.items()), *_meaning(both)]


def _row(name: str, row: Row, wide: int) -> str:
    found = "-" if row.found_mm is None else f"{row.found_mm:.3f}"
    return (
        f"{short(name, wide):<{wide}} {row.left_mm:>6.3f} {found:>6} {row.moved_mm:>+7.3f} "
        f"{2.0 * row.u_mm:>6.3f} {'yes' if row.is_sure else 'no':<4} {row.after_mm:>6.3f}"
    )


def _meaning(both: dict[str, Row]) -> list[str]:
    """Say what moved on the whole, and what the columns mean."""
    sure = sum(row.is_sure for row in both.values())
    mean = sum(row.moved_mm for row in both.values()) / len(both)
    found = any(row.found_mm is not None for row in both.values())
    what = (
        "found less left" if found else "left now less left; how the later run found the plate is not known"
    )
    return [
        f"moved: {what}. sure: by more than U = 2u, so {sure} of {len(both)} points.",
        "now: as the later run has left it.",
        f"On the whole the gap has {'opened' if mean > 0 else 'closed'} by {abs(mean):.3f} mm.",
    ]


def comparison_object(one: Whole, other: Whole) -> dict[str, Any]:
    """Return the comparison as JSON's own types."""
    early, late = in_order(one, other)
    return {
        "format": "tramwright-comparison/1",
        "earlier": early.run.id,
        "later": late.run.id,
        "same_profile": early.header.profile == late.header.profile,
        "same_machine": early.run.machine == late.run.machine,
        "points": {name: _point_object(row) for name, row in moves(early, late).items()},
    }


def _point_object(row: Row) -> dict[str, float | None]:
    return {
        "before_mm": row.left_mm,
        "after_mm": row.after_mm,
        "change_mm": row.after_mm - row.left_mm,
        "u_mm": row.change_u_mm,
        "found_mm": row.found_mm,
        "moved_mm": row.moved_mm,
        "moved_u_mm": row.u_mm,
    }


COLUMNS = ("point", "before_mm", "after_mm", "u_of_change_mm", "found_mm", "moved_mm", "moved_u_mm")


def comparison_rows(one: Whole, other: Whole) -> list[tuple[object, ...]]:
    """Return the comparison as rows under COLUMNS."""
    each = moves(*in_order(one, other)).items()
    return [(name, r.left_mm, r.after_mm, r.change_u_mm, r.found_mm, r.moved_mm, r.u_mm) for name, r in each]
