"""The verdict in a sentence, with the figures it rests on and the rule it was decided by. Pure.

The decision rule is that of ISO 14253-1 with U = 2u: what is nearer to the limit than U is undecided.
"""

from __future__ import annotations

from collections.abc import Callable

from profiles.machine import Machine
from wizard.instructions.figures import mm
from wizard.instructions.fitting import short
from wizard.solver.finding import Finding, PointFinding

RULE = "ISO 14253-1, U=2u"
COVERAGE = 2.0
NAME_WIDTH = 40


def verdict_sentence(finding: Finding, machine: Machine) -> str:
    """Return the verdict with the figures it rests on and the rule it was decided by."""
    if not finding.points:
        return f"{finding.verdict.capitalize()}: no gap is known yet."
    return _VERDICTS[finding.verdict](finding, machine)


def off(point: PointFinding) -> str:
    """Return how far a gap is off its target, in words: "0.12 mm too wide"."""
    size = mm(abs(point.deviation_mm))
    if size == mm(0.0):
        return "exact"
    return f"{size} mm too {'wide' if point.deviation_mm > 0 else 'narrow'}"


def _within(finding: Finding, machine: Machine) -> str:
    layer = machine.first_layer
    name, _ = _worst(finding, lambda p: abs(p.deviation_mm) + COVERAGE * p.u_mm)
    return (
        f"Within: every gap {_read_so_far(finding, machine)}is {mm(machine.wanted_gap_mm)} +/- "
        f"{mm(layer.tolerance_mm)} mm, uncertainty counted in ({RULE}); the "
        f"nearest to the limit is {_told(name, finding)}."
    )


def _read_so_far(finding: Finding, machine: Machine) -> str:
    """Say so where points that only prove are still to be read."""
    unread = any(point.only and point.name not in finding.points for point in machine.point)
    return "read so far " if unread else ""


def _outside(finding: Finding, machine: Machine) -> str:
    name, _ = _worst(finding, lambda p: abs(p.deviation_mm) - COVERAGE * p.u_mm)
    return (
        f"Outside: {_told(name, finding)}; even with that allowed for, it is more than the "
        f"{mm(machine.first_layer.tolerance_mm)} mm of tolerance ({RULE})."
    )


def _undecided(finding: Finding, machine: Machine) -> str:
    name, _ = _worst(finding, lambda p: abs(p.deviation_mm) + COVERAGE * p.u_mm)
    return (
        f"Undecided: {_told(name, finding)}; with a tolerance of {mm(machine.first_layer.tolerance_mm)} mm "
        f"that proves neither within nor outside ({RULE})."
    )


_VERDICTS: dict[str, Callable[[Finding, Machine], str]] = {
    "within": _within,
    "outside": _outside,
    "undecided": _undecided,
}


def _worst(finding: Finding, by: Callable[[PointFinding], float]) -> tuple[str, PointFinding]:
    return max(finding.points.items(), key=lambda item: by(item[1]))


def _told(name: str, finding: Finding) -> str:
    point = finding.points[name]
    return f"{short(name, NAME_WIDTH)}, {off(point)}, U={mm(COVERAGE * point.u_mm)} mm"
