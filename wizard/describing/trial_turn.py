"""Learning what clockwise does, by one trial turn: where something touches the nozzle before and after."""

from __future__ import annotations

from collections.abc import Callable
from math import dist

from profiles.machine import Adjuster, Machine, Point
from wizard.describing.asking import Asker
from wizard.describing.bench import Bench

STEPS_MM = {"": 0.2, "1": 1.0, "2": 0.05}
LEAST_MM = 0.1
"""A smaller change is not told apart from the steps of the trial and the hand."""

HELP = """\
  Lay something flat under the nozzle, 1 to 3 mm thick, the same both times: a coin, some leaves together.
  1: lower by 1 mm. Enter: by 0.2 mm. 2: by 0.05 mm. t: it just touches now. q: give up."""


def rise_by_a_turn_mm(
    asker: Asker, bench: Bench, key: Callable[[str], str], adjuster: Adjuster
) -> float | None:
    """Return how far the plate rises there by one clockwise turn, mm; None where it could not be told.

    The nozzle comes down from clearance height only step by step, each asked for, and is lifted for turns.
    """
    point = nearest(bench.machine, adjuster)
    asker.tell(f"\n{adjuster.name}: one trial turn, felt at {point.name}.\n{HELP}")
    before_mm = _touching_mm(asker, bench, key, point)
    if before_mm is None or not _turned(asker, adjuster, "clockwise"):
        return None
    after_mm = _touching_mm(asker, bench, key, point)
    _turned(asker, adjuster, "anticlockwise, back to where it was")
    if after_mm is None or abs(after_mm - before_mm) < LEAST_MM:
        asker.tell("  That does not tell which way; it stays unknown, and the first job learns it.")
        return None
    return round(after_mm - before_mm, 3)


def nearest(machine: Machine, adjuster: Adjuster) -> Point:
    """Return the machine's point that lies nearest to a support."""
    return min(machine.point, key=lambda point: dist(point.at_mm, adjuster.at_mm))


def _turned(asker: Asker, adjuster: Adjuster, way: str) -> bool:
    seen = f"seen from {adjuster.seen_from}"
    return asker.yes(f"Take it out. Turn {adjuster.name} one whole turn {way}, {seen}. Done", usual=True)


def _touching_mm(asker: Asker, bench: Bench, key: Callable[[str], str], point: Point) -> float | None:
    """Return the height at which the thing just touches; the nozzle is lifted afterwards. None: given up."""
    z_mm, floor_mm = bench.machine.motion.clearance_mm, bench.machine.measuring_height_mm
    bench.park(point, z_mm)
    try:
        while True:
            pressed = key(f"  Z {z_mm:.2f}")
            if pressed in ("t", "q"):
                return z_mm if pressed == "t" else None
            wanted_mm = round(z_mm - STEPS_MM.get(pressed, 0.0), 3)
            if wanted_mm < floor_mm:
                asker.tell(f"  Not below {floor_mm:g} mm, where gaps are measured: lay something thicker.")
            elif wanted_mm != z_mm:
                bench.lower(wanted_mm)
                z_mm = wanted_mm
    finally:
        bench.lift()
