"""Can a machine as described be levelled, and the result be proven? Physical sense beyond sizes. Pure."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from profiles.faults import Fault, missing, wrong
from profiles.machine import XY, Machine

NARROW = 0.05
"""Places that span less than this share across than along stand in one line, as good as."""

FEWEST = 3
"""Supports that fix a plane."""

COVERAGE = 2.0
"""Expanded uncertainty: twice the standard uncertainty (JCGM 100, 6.2)."""

FINEST_READING_MM = {"leaf": (0.02, 0.006), "card": (0.01, 0.006), "probe": (0.0, 0.004)}
"""Width of the finest bracket that each gauge gives, and the repeatability of the hand or the probe."""


def faults(machine: Machine) -> Iterator[Fault]:
    """Yield what would keep a job on this machine from an end that can be proven."""
    yield from _supports(machine)
    yield from _points(machine)
    yield from _tolerance(machine)


def _supports(machine: Machine) -> Iterator[Fault]:
    places = [adjuster.at_mm for adjuster in machine.adjuster]
    if not _movable(machine):
        return
    if len(places) < FEWEST:
        count = f"given at least three times, but there are {len(places)}"
        yield missing("adjuster", f"{count}: what carries the plate elsewhere is one of kind fixed")
    elif in_one_line(places):
        yield _line("adjuster", places, "the plate would tip about that line")


def _points(machine: Machine) -> Iterator[Fault]:
    places = [point.at_mm for point in machine.levelling_points]
    if _movable(machine) and len(places) >= FEWEST and in_one_line(places):
        yield _line("point", places, "the tilt about that line could not be seen")
    elif _movable(machine) and 0 < len(places) < FEWEST:
        yield missing(
            "point",
            f"given at least three times{_besides(machine)}, but there are {len(places)}:"
            " a tilt shows at three places only",
        )


def _besides(machine: Machine) -> str:
    return "" if len(machine.levelling_points) == len(machine.point) else ' without only = "proof"'


def _line(key: str, places: Sequence[XY], why: str) -> Fault:
    told = " ".join(f"X{x:g} Y{y:g}" for x, y in places[:8])
    return Fault(key, f"at_mm are {told}, but must not stand all in one line: {why}")


def _movable(machine: Machine) -> bool:
    return any(adjuster.kind != "fixed" for adjuster in machine.adjuster)


def in_one_line(places: Sequence[XY]) -> bool:
    """Tell whether places lie within a narrow strip, by the axes of their ellipse of inertia."""
    n = len(places)
    x0, y0 = sum(x for x, _ in places) / n, sum(y for _, y in places) / n
    xx = sum((x - x0) ** 2 for x, _ in places)
    yy = sum((y - y0) ** 2 for _, y in places)
    xy = sum((x - x0) * (y - y0) for x, y in places)
    middle, radius = (xx + yy) / 2.0, math.hypot((xx - yy) / 2.0, xy)
    return middle - radius < NARROW**2 * (middle + radius)


def _tolerance(machine: Machine) -> Iterator[Fault]:
    known = finest_u_mm(machine)
    if not known:
        return
    by, u_mm = min(known.items(), key=lambda each: each[1])
    limit_mm = COVERAGE * u_mm
    if machine.first_layer.tolerance_mm <= limit_mm:
        allowed = (
            f"more than {limit_mm:.3f} mm: the finest reading by {by} is known to no better than that,"
            " so that nothing could be proven"
        )
        yield wrong("first_layer.tolerance_mm", machine.first_layer.tolerance_mm, allowed)


def finest_u_mm(machine: Machine) -> dict[str, float]:
    """Return the standard uncertainty of the finest reading, mm, by each gauge that the machine has.

    A bracket of width w has w / sqrt(12) (JCGM 100, 4.3.7), joined with the repeatability.
    """
    has = {
        "leaf": bool(machine.gauge.leaves_mm),
        "card": machine.gauge.card_mm is not None,
        "probe": machine.probe is not None,
    }
    return {
        by: math.hypot(width_mm / math.sqrt(12.0), hand_mm)
        for by, (width_mm, hand_mm) in FINEST_READING_MM.items()
        if has[by]
    }
