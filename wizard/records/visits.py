"""Runs as drift sees them. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from wizard.drift import Due, Visit, due
from wizard.records.bases import DAY_S
from wizard.records.run import Whole
from wizard.requests import ShowChange
from wizard.solver.finding import Finding


def visits(wholes: Iterable[Whole]) -> list[Visit]:
    """Return the visits of one machine's runs, the oldest first; simulated and real ones are not mixed."""
    each = sorted(wholes, key=lambda w: w.run.created)
    return [visit(whole) for whole in each if whole.run.simulated == each[-1].run.simulated]


def visit(whole: Whole) -> Visit:
    """Return what drift sees of a run: what a recheck, or readings kept elsewhere, found; what it left."""
    run = whole.run
    shown = (s.request.change.finding for s in whole.steps if isinstance(s.request, ShowChange))
    found = next(shown, None) if run.procedure == "recheck" else None
    if run.procedure == "import":
        found = whole.finding
    left = whole.finding if run.status != "not ended" else None
    day = datetime.fromisoformat(run.ended).timestamp() / DAY_S
    return Visit(day, _gaps(found), _gaps(left), run.nozzle)


def _gaps(finding: Finding | None) -> dict[str, float] | None:
    return {name: p.gap_mm for name, p in finding.points.items()} if finding and finding.points else None


def due_of(wholes: list[Whole]) -> Due:
    """Return when a recheck of the machine is due, by its newest description."""
    if not wholes:
        return Due("too few")
    machine = max(wholes, key=lambda w: w.run.created).header.profile
    return due(visits(wholes), machine.first_layer.tolerance_mm, machine.wanted_gap_mm)
