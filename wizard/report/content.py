"""What a report says, apart from how it looks. Pure."""

from __future__ import annotations

from typing import NamedTuple

import msgspec

from profiles.machine import Thread
from wizard.history.one import heading
from wizard.instructions import (
    bracket,
    finding_lines,
    mm,
    short_turn,
    signed_mm,
    turn_words,
    verdict_sentence,
)
from wizard.instructions.figures import counted
from wizard.instructions.printing import triple
from wizard.instructions.rechecking import change_sentence
from wizard.instructions.warmth import closing_sentence, early_sentence
from wizard.records import details
from wizard.records.run import Whole
from wizard.requests import ShowChange, ShowResult
from wizard.rounds import Reading
from wizard.solver.finding import Finding

RULE = (
    "Decision rule, ISO 14253-1: within where the deviation and its expanded uncertainty U = 2u together "
    "are not more than the tolerance; outside where the deviation less U is more; else undecided."
)
CAUTIONS = (
    "Nozzle and plate can be hot, and axes move without warning.",
    "The maker's manual and local rules come first.",
    "It holds for the temperatures, plate and nozzle named here; check again after a swap or a move.",
)
SIMULATED = "SIMULATED printer: this is no record of a real machine."


class PointRow(NamedTuple):
    """One point in words: gap before, gap after, U, deviation, whether it is within."""

    point: str
    before: str
    gap: str
    expanded: str
    deviation: str
    judged: str


class Report(msgspec.Struct, frozen=True):
    """All that is said.

    before, after: deviations by point, mm, for the pictures. unit: that of the points' figures.
    """

    title: str
    simulated: bool
    about: tuple[str, ...]
    verdict: tuple[str, ...]
    points: tuple[PointRow, ...]
    changes: tuple[tuple[str, str], ...]
    learned: tuple[tuple[str, str], ...]
    before: dict[str, float]
    after: dict[str, float]
    tolerance_mm: float
    target_mm: float
    footer: str
    unit: str = "mm"


def report_of(whole: Whole) -> Report:
    """Return what is said of a run."""
    run, machine, finding = whole.run, whole.header.profile, whole.finding
    layer = machine.first_layer
    target_mm = machine.wanted_gap_mm
    first = _first_readings(whole)
    return Report(
        title="Bed level and nozzle height",
        simulated=run.simulated,
        about=tuple(filter(None, _about(whole, target_mm))),
        verdict=_verdict(whole, finding),
        points=tuple(_rows(finding, first, layer.tolerance_mm)) if finding else (),
        changes=tuple(_changes(whole)),
        learned=tuple(_learned(finding)) if finding else (),
        before=_middles(first, target_mm),
        after={n: p.deviation_mm for n, p in finding.points.items()} if finding else {},
        tolerance_mm=layer.tolerance_mm,
        target_mm=target_mm,
        footer=f"Run {run.id}, {run.created[:16].replace('T', ' ')} to {run.ended[:16].replace('T', ' ')} UTC"
        + (f", tramwright {run.version}" if run.version else ""),
    )


def _about(whole: Whole, target_mm: float) -> tuple[str, ...]:
    machine = whole.header.profile
    warmth = closing_sentence(machine), early_sentence(whole.facts)
    return (*heading(whole)[1:], _wanted(whole, target_mm), *warmth)


def _wanted(whole: Whole, target_mm: float) -> str:
    machine = whole.header.profile
    return (
        f"Wanted: gap {mm(target_mm)} mm at Z {mm(machine.measuring_height_mm)} mm at "
        f"{counted(len(machine.point), 'point')}, "
        f"tolerance {mm(machine.first_layer.tolerance_mm)} mm either way."
    )


def _verdict(whole: Whole, finding: Finding | None) -> tuple[str, ...]:
    shown = [s.request.change for s in whole.steps if isinstance(s.request, ShowChange)]
    found = tuple(change_sentence(change) for change in shown[:1])
    if finding is None:
        return (*found, "No finding: the run was broken off before.")
    status = {"proven": "Proven.", "not proven": "Not proven.", "not ended": "Broken off: not proven."}
    machine = whole.header.profile
    told: tuple[str, ...] = (verdict_sentence(finding, machine),)
    if finding.status != "level":
        told = finding_lines(finding, machine)
    return (*found, status[whole.run.status], *told, *_checks(whole))


def _checks(whole: Whole) -> tuple[str, ...]:
    """Return how it was checked, a line each, as far as the run came to an end."""
    shown = [step.request for step in whole.steps if isinstance(step.request, ShowResult)]
    last = shown[-1] if shown else None
    return triple(last.checks, last.rounds) if last and last.checks.gauge else ()


def _first_readings(whole: Whole) -> dict[str, Reading]:
    """Return what was read before anything was changed."""
    rounds = whole.facts.unfollowed or whole.rounds
    return dict(rounds[0].readings) if rounds else {}


def _middles(readings: dict[str, Reading], target_mm: float) -> dict[str, float]:
    """Return the deviations of the readings that are known on both sides."""
    return {
        name: (r.low_mm + r.high_mm) / 2.0 - target_mm
        for name, r in readings.items()
        if r.low_mm is not None and r.high_mm is not None
    }


def _rows(finding: Finding, first: dict[str, Reading], tolerance_mm: float) -> list[PointRow]:
    return [
        PointRow(
            name,
            _first(first.get(name)),
            mm(p.gap_mm),
            mm(2.0 * p.u_mm),
            signed_mm(p.deviation_mm),
            _judged(abs(p.deviation_mm), 2.0 * p.u_mm, tolerance_mm),
        )
        for name, p in finding.points.items()
    ]


def _first(reading: Reading | None) -> str:
    """Return a first reading in words, marked where it was taken before the soak's end."""
    if reading is None:
        return "not read"
    return bracket(reading).removesuffix(" mm") + (" (early)" if reading.early else "")


def _judged(deviation_mm: float, expanded_mm: float, tolerance_mm: float) -> str:
    if deviation_mm + expanded_mm <= tolerance_mm:
        return "within"
    return "outside" if deviation_mm - expanded_mm > tolerance_mm else "undecided"


def _changes(whole: Whole) -> list[tuple[str, str]]:
    """Return what was changed, a row for each adjuster and each way of changing the height."""
    machine = whole.header.profile
    threads: dict[str, Thread] = {a.name: a for a in machine.adjuster}
    told: dict[str, list[str]] = {}
    sides: dict[str, str] = {}
    for row in details.changes(whole):
        if row.turns is not None:
            words = turn_words(threads.get(row.what, machine.height.screw or Thread()), row.turns)
            told.setdefault(row.what, []).append(short_turn(words))
            sides[row.what] = f", seen from {words.side}" if words.side else ""
        elif row.height_mm is not None:
            told.setdefault(row.what, []).append(f"nozzle {signed_mm(row.height_mm)} mm")
    if kept := _kept(whole):
        told["in the machine"] = kept
    return [(name, f"{', then '.join(each)}{sides.get(name, '')}") for name, each in told.items()]


def _kept(whole: Whole) -> list[str]:
    """Return what else was done in the machine, of each kind the last."""
    rows = (row.what for row in details.changes(whole) if row.turns is None and row.height_mm is None)
    return list({what.partition(":")[0].partition(",")[0]: what for what in rows}.values())


def _learned(finding: Finding) -> list[tuple[str, str]]:
    return [
        (name, f"{each.mm_per_turn:+.3f} mm for a clockwise turn, U={2.0 * each.u:.3f} mm")
        for name, each in finding.learned.items()
    ]
