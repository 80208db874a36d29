"""What the drawing of the bed has to show at one moment. Values only, made from the facts."""

from __future__ import annotations

from typing import Literal

import msgspec

from profiles.machine import XY, Machine
from wizard.facts import Facts
from wizard.rounds import Reading
from wizard.solver.finding import Finding, PointFinding

Judged = Literal["wide", "narrow", "within", "open"]


class Note(msgspec.Struct, frozen=True):
    """What is known at one point: in words of two lengths, and how it stands to the target gap."""

    long: str
    short: str
    judged: Judged
    deviation_mm: float | None = None


class Scene(msgspec.Struct, frozen=True, kw_only=True):
    """One picture of the bed from above.

    current: the point that the step is about. nozzle_mm: where the nozzle is known to be.
    turns: by adjuster, as asked for; ticked: those made; turning: the one to turn now.
    caption: words over the drawing.
    """

    machine: Machine
    notes: dict[str, Note] = {}
    current: str | None = None
    nozzle_mm: XY | None = None
    turns: dict[str, float] = {}
    ticked: frozenset[str] = frozenset()
    turning: str | None = None
    caption: str = ""


def note_of_reading(reading: Reading, machine: Machine) -> Note:
    """Return the note for a bracket as it was read, mm at the measuring height."""
    low, high = reading.low_mm, reading.high_mm
    if (low is None or low <= 0) and high is None:  # that a gap is more than nothing tells nothing
        return Note("?", "?", "open")
    if low is None or high is None:
        sign, bound = (">", low) if high is None else ("<", high)
        return Note(f"{sign}{bound:.2f}", f"{sign}{_short(bound)}", _judged(reading, machine))
    middle = (low + high) / 2
    deviation = middle - machine.wanted_gap_mm
    long = f"{low:.2f}-{_short(high)}" if round(low, 2) != round(high, 2) else f"{low:.2f}"
    return Note(long, f"{middle:.2f}", _judged(reading, machine), deviation)


def note_of_finding(point: PointFinding, machine: Machine) -> Note:
    """Return the note for a computed gap: with U = 2u, and judged as ISO 14253-1 judges."""
    off, spread = point.deviation_mm, 2 * point.u_mm
    tolerance = machine.first_layer.tolerance_mm
    judged: Judged = "open"
    if abs(off) + spread <= tolerance:
        judged = "within"
    elif abs(off) - spread > tolerance:
        judged = "wide" if off > 0 else "narrow"
    long = f"{point.gap_mm:.2f}±{_short(spread)}"
    return Note(long, f"{point.gap_mm:.2f}", judged, off)


def notes_of(facts: Facts, finding: Finding | None) -> dict[str, Note]:
    """Return the notes of all points: the finding's where one is given, else the newest readings'."""
    machine = facts.machine
    if finding is not None and finding.points:
        return {name: note_of_finding(point, machine) for name, point in finding.points.items()}
    return {name: note_of_reading(reading, machine) for name, reading in facts.readings.items()}


def _short(mm: float | None) -> str:
    """Return "0.15" as ".15", the way leaves are stamped."""
    text = f"{mm or 0.0:.2f}"
    return text.replace("0.", ".", 1) if text.startswith(("0.", "-0.")) else text


def _judged(reading: Reading, machine: Machine) -> Judged:
    wanted_mm, tolerance_mm = machine.wanted_gap_mm, machine.first_layer.tolerance_mm
    least, most = wanted_mm - tolerance_mm, wanted_mm + tolerance_mm
    low, high = reading.low_mm, reading.high_mm
    if low is not None and low > most:
        return "wide"
    if high is not None and high < least:
        return "narrow"
    both_in = low is not None and high is not None and low >= least and high <= most
    return "within" if both_in else "open"
