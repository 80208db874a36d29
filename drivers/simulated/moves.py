"""One straight move of the simulated nozzle, and what a watcher of it would have seen. Lengths in mm."""

from __future__ import annotations

from math import dist
from typing import NamedTuple

from drivers.simulated.plate import Plate
from drivers.simulated.record import Record, Violation

XYZ = tuple[float, float, float]
TOUCH_MM = 0.02  # a nozzle that presses the plate by less than this leaves no mark
_CHECKED_BELOW_MM = 4.0  # no plate stands higher than this
_SAMPLE_MM = 5.0
MELTS_C = 150.0  # below it no common filament flows: common practice, no source


class Segment(NamedTuple):
    """One straight move of the true nozzle, s and mm. `homes`: axes whose switch is met at its end.

    filament_mm: how much filament goes in meanwhile, below 0 where it is drawn back.
    """

    start: float
    end: float
    origin: XYZ
    goal: XYZ
    homes: tuple[int, ...] = ()
    filament_mm: float = 0.0

    def at(self, now: float) -> XYZ:
        """Return the true place at `now`."""
        span = self.end - self.start
        share = 1.0 if span <= 0.0 else min(max((now - self.start) / span, 0.0), 1.0)
        return self.part(share)

    def part(self, share: float) -> XYZ:
        """Return the place where a share of the way is done."""
        a, b, rest = self.origin, self.goal, 1.0 - share
        return rest * a[0] + share * b[0], rest * a[1] + share * b[1], rest * a[2] + share * b[2]

    @property
    def sideways_mm(self) -> float:
        """How far it goes sideways."""
        return dist(self.origin[:2], self.goal[:2])

    @property
    def lowest_mm(self) -> float:
        """The lowest height on its way."""
        return min(self.origin[2], self.goal[2])


def watch(segment: Segment, plate: Plate, clearance_mm: float, record: Record) -> None:
    """Record what no careful driver does: sideways moves below clearance, the nozzle in the plate.

    While plastic comes out the nozzle has to be low; then only the plate itself is in the way.
    """
    if segment.filament_mm <= 0.0 and segment.sideways_mm > 1e-3 and segment.lowest_mm < clearance_mm - 1e-3:
        record.note(Violation("low-sideways", f"at Z{segment.lowest_mm:.2f}", segment.goal))
    if segment.lowest_mm < _CHECKED_BELOW_MM:
        _watch_contact(segment, plate, record)


def extrude(segment: Segment, plate: Plate, record: Record) -> None:
    """Lay down what comes out on the way; filament that is moved cold is recorded, and none comes out."""
    if plate.nozzle_c < MELTS_C:
        record.note(Violation("cold-extrusion", f"filament at {plate.nozzle_c:.0f} C", segment.goal))
    elif segment.filament_mm > 0.0 and segment.sideways_mm > 0.0:
        plate.plastic.lay(plate, segment.origin, segment.goal, segment.filament_mm)


def _watch_contact(segment: Segment, plate: Plate, record: Record) -> None:
    count = 1 + int(segment.sideways_mm / _SAMPLE_MM)
    places = [segment.part(nth / count) for nth in range(count + 1)]
    depths = [-plate.gap_at(*place) for place in places]
    deepest = max(range(len(depths)), key=depths.__getitem__)
    if depths[deepest] > max(TOUCH_MM, depths[0] + 1e-9):
        record.note(Violation("crash", "nozzle driven into the plate", places[deepest], depths[deepest]))
