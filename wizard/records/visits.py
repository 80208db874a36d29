"""Runs as drift sees them. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from profiles.machine import Machine
from wizard.drift import Course, Due, Visit, courses, due
from wizard.records.bases import DAY_S
from wizard.records.run import Whole
from wizard.records.supports import supports_of
from wizard.requests import ShowChange
from wizard.solver.finding import Finding


def visits(wholes: Iterable[Whole]) -> list[Visit]:
    """Return the visits of one machine's runs, the oldest first; simulated and real ones are not mixed."""
    each = sorted(wholes, key=lambda w: w.run.created)
    return [visit(whole) for whole in each if whole.run.simulated == each[-1].run.simulated]


def visit(whole: Whole) -> Visit:
    """Return what drift sees of a run: what a recheck, or readings kept elsewhere, found; what it left."""
    run = whole.run
    left = whole.finding if run.status != "not ended" else None
    day = datetime.fromisoformat(run.ended).timestamp() / DAY_S
    return Visit(day, _gaps(found_by(whole)), _gaps(left), run.nozzle)


def found_by(whole: Whole) -> Finding | None:
    """Return how a run found the plate, before it changed anything; None where it does not tell."""
    if whole.run.procedure == "import":
        return whole.finding
    if whole.run.procedure != "recheck":
        return None
    shown = (s.request.change.finding for s in whole.steps if isinstance(s.request, ShowChange))
    return next(shown, None)


def _gaps(finding: Finding | None) -> dict[str, float] | None:
    return {name: p.gap_mm for name, p in finding.points.items()} if finding and finding.points else None


def due_of(wholes: list[Whole]) -> Due:
    """Return when a recheck of the machine is due, by its newest description."""
    if not wholes:
        return Due("too few")
    machine = newest_machine(wholes)
    supports = supports_of(machine)
    return due(visits(wholes), machine.first_layer.tolerance_mm, machine.wanted_gap_mm, supports)


def courses_of(wholes: list[Whole]) -> list[Course]:
    """Return what has drifted on one machine: the height and each support, by its newest description."""
    return courses(visits(wholes), supports_of(newest_machine(wholes))) if wholes else []


def newest_machine(wholes: list[Whole]) -> Machine:
    """Return the machine as the newest of its runs describes it."""
    return max(wholes, key=lambda w: w.run.created).header.profile
