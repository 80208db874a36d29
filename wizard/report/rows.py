"""The rows of a report: a point each, a change each, an adjuster's learnt pitch each, in words. Pure."""

from __future__ import annotations

from typing import NamedTuple

import msgspec

from profiles.machine import Thread
from wizard.instructions import bracket, short_turn, signed_mm, turn_words
from wizard.records import details
from wizard.records.run import Whole
from wizard.rounds import Reading
from wizard.solver.finding import Finding


class PointRow(NamedTuple):
    """One point in words: gap before, gap after, U, deviation, whether it is within."""

    point: str
    before: str
    gap: str
    expanded: str
    deviation: str
    judged: str


def first_readings(whole: Whole) -> dict[str, Reading]:
    """Return the first reading of each point until something was turned.

    A height set meanwhile moves all gaps alike: it is taken out of those that were read after it.
    """
    first: dict[str, Reading] = {}
    raised_mm = 0.0
    for each in whole.facts.unfollowed or whole.rounds:
        new = {name: _lowered(r, raised_mm) for name, r in each.readings.items() if name not in first}
        first.update(new)
        raised_mm += each.height_change_mm
        if any(each.turned.values()):
            break
    return first


def _lowered(reading: Reading, by_mm: float) -> Reading:
    """Return the reading as it had been with the nozzle so much lower, mm."""
    low_mm, high_mm = (
        None if side is None else round(side - by_mm, 4) for side in (reading.low_mm, reading.high_mm)
    )
    return msgspec.structs.replace(reading, low_mm=low_mm, high_mm=high_mm)


def middles(readings: dict[str, Reading], target_mm: float) -> dict[str, float]:
    """Return the deviations of the readings that are known on both sides."""
    return {
        name: (r.low_mm + r.high_mm) / 2.0 - target_mm
        for name, r in readings.items()
        if r.low_mm is not None and r.high_mm is not None
    }


def rows_of(finding: Finding, first: dict[str, Reading], tolerance_mm: float) -> list[PointRow]:
    """Return a row for each point of the finding."""
    return [
        PointRow(
            name,
            _first(first.get(name)),
            f"{p.gap_mm:.3f}",
            f"{2.0 * p.u_mm:.3f}",
            f"{round(p.deviation_mm, 3) + 0.0:+.3f}",
            _judged(abs(p.deviation_mm), 2.0 * p.u_mm, tolerance_mm),
        )
        for name, p in finding.points.items()
    ]


def only_read(first: dict[str, Reading]) -> list[PointRow]:
    """Return the rows of a run that has not come to a finding: what was read, and no judgement."""
    return [PointRow(name, _first(reading), "-", "-", "-", "not judged") for name, reading in first.items()]


def _first(reading: Reading | None) -> str:
    """Return a first reading in words, marked where it was taken before the soak's end."""
    if reading is None:
        return "not read"
    return bracket(reading).removesuffix(" mm") + (" (early)" if reading.early else "")


def _judged(deviation_mm: float, expanded_mm: float, tolerance_mm: float) -> str:
    if deviation_mm + expanded_mm <= tolerance_mm:
        return "within"
    return "outside" if deviation_mm - expanded_mm > tolerance_mm else "undecided"


def changes_of(whole: Whole) -> list[tuple[str, str]]:
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


def learned_of(whole: Whole) -> list[tuple[str, str]]:
    """Return what each adjuster that was turned really does; of the others nothing was learnt."""
    turned = {name for each in whole.rounds for name, turns in each.turned.items() if turns}
    learned = whole.finding.learned if whole.finding else {}
    return [
        (name, f"{each.mm_per_turn:+.3f} mm for a clockwise turn, U={2.0 * each.u:.3f} mm")
        for name, each in learned.items()
        if name in turned
    ]
