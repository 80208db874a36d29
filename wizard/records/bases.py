"""Which run a recheck compares with, and what it knew at its end. Pure."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime

import msgspec

from profiles.machine import Machine
from wizard.base import Base
from wizard.records.run import Run, Whole
from wizard.rounds import Reading, Round
from wizard.solver.finding import Finding

DAY_S = 86400.0
NO_BASES = ("unattended", "survey")


def last_proven(runs: Iterable[Run]) -> Run | None:
    """Return the newest proven run of those, which are given newest first."""
    return next(proven_by_gauge(runs), None)


def proven_by_gauge(runs: Iterable[Run]) -> Iterator[Run]:
    """Return the proven runs in which a person held a gauge: what nobody attended rests on those.

    A survey is none of them: it has read the plate with whatever compensation was on. Nor are runs on a
    simulated printer, where there is one of the real machine.
    """
    proven = [run for run in runs if _is_base(run)]
    return iter([run for run in proven if not run.simulated] or proven)


def _is_base(run: Run) -> bool:
    return run.status == "proven" and run.verdict == "within" and run.procedure not in NO_BASES


def base_of(whole: Whole, now: str) -> Base:
    """Return the run as something to compare with; `now` is UTC, ISO 8601.

    A job's own readings and turns are taken as they are. A recheck has read a few points only: what it
    knew of all of them at its end stands for its readings.
    """
    run, finding = whole.run, whole.finding
    rounds = whole.rounds
    if run.procedure != "level" and finding is not None:
        rounds = (Round(_as_readings(finding)),)
    return Base(
        run.id,
        run.ended,
        days_between(run.ended, now),
        rounds,
        run.nozzle,
        probe_offset_mm=whole.facts.probe_offset_mm,
        probe_u_mm=whole.facts.probe_u_mm,
        followed=whole.facts.following,
        grid=whole.facts.grid,
    )


def base_of_plate(newest_first: Sequence[Whole], now: str) -> Base:
    """Return the newest run that read the whole plate or changed it, with the newest run's nozzle and grid.

    Rechecks that only set the height are passed over: each lets a little pass unseen, and held against one
    another a support that sinks slowly would go on unseen. The height is found anew anyway.
    """
    newest = newest_first[0]
    plate = next((whole for whole in newest_first if tells_the_plate(whole)), newest)
    last = base_of(newest, now)
    return msgspec.structs.replace(
        base_of(plate, now), nozzle=last.nozzle, followed=last.followed, grid=last.grid
    )


def tells_the_plate(whole: Whole) -> bool:
    """Tell whether a proven run read every point to level by, or did so after a turn of its own."""
    turned = any(turns for one in whole.rounds for turns in one.turned.values())
    return turned or whole.run.procedure != "recheck"


def _as_readings(finding: Finding) -> dict[str, Reading]:
    """Return brackets that have the same mean and standard uncertainty (JCGM 100, 4.3.7)."""
    half = math.sqrt(3.0)
    return {
        name: Reading(p.gap_mm - half * p.u_mm, p.gap_mm + half * p.u_mm)
        for name, p in finding.points.items()
    }


def days_between(earlier: str, later: str) -> float:
    """Return the days from one ISO 8601 time to another, 0 where a clock was set back."""
    span = datetime.fromisoformat(later) - datetime.fromisoformat(earlier)
    return max(span.total_seconds() / DAY_S, 0.0)


def same_bed(one: Machine, other: Machine) -> bool:
    """Whether the gaps that one description measured can be compared with those of another, later one.

    Bed, adjusters, heights, temperatures and each of its points are the same; other points may have joined.
    """
    places = {point.name: point.at_mm for point in other.point}
    stay = all(places.get(point.name) == point.at_mm for point in one.point)
    return stay and _measured(one) == _measured(other)


def _measured(machine: Machine) -> tuple[object, ...]:
    heat = machine.heat
    return (
        machine.bed,
        machine.adjuster,
        machine.height.by,
        machine.measuring_height_mm,
        (heat.bed_c, heat.nozzle_c),
    )
