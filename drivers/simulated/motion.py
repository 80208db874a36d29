"""The simulated axes: moves that take time, a short queue of them, homing, limits.

Two positions: `native` is where the controller believes the nozzle is, and the true one is that plus
what is lost, which is zero for an axis that has been homed. Lengths in mm, times in s.
"""

from __future__ import annotations

from collections import deque
from math import dist

from drivers.simulated.moves import XYZ, Segment, extrude, watch
from drivers.simulated.plate import Plate
from drivers.simulated.record import Record, Violation
from profiles.machine import Motion as Limits

QUEUE = 4
RAMP_S = 0.05
HOMING_HOP_MM = 5.0
HOMING_FEED_MM_MIN = 3000.0
_FRAME_BELOW_MM = -5.0
_AXES = "XYZ"


class Motion:
    """The axes. Call `advance` before asking; `start` is where the nozzle stands at power-up."""

    def __init__(self, limits: Limits, plate: Plate, record: Record, start: XYZ) -> None:
        self._limits = limits
        self._plate = plate
        self._record = record
        self._queue: deque[Segment] = deque()
        self._true = start
        self.power_up()

    def power_up(self) -> None:
        """Forget where the axes are: the controller believes in zero."""
        self._queue.clear()
        self._lost = self._true
        self.homed = [False, False, False]

    @property
    def goal(self) -> XYZ:
        """Where the controller believes the last queued move ends."""
        return _less(self._last, self._lost)

    def true_at(self, now: float) -> XYZ:
        """Return where the nozzle really is."""
        return self._queue[0].at(now) if self._queue else self._true

    def native_at(self, now: float) -> XYZ:
        """Return where the controller believes the nozzle is."""
        return _less(self.true_at(now), self._lost)

    def ends(self, now: float) -> float:
        """Return when the last queued move ends."""
        return self._queue[-1].end if self._queue else now

    def room_due(self, now: float) -> float:
        """Return when the queue can take another move."""
        return self._queue[-QUEUE].end if len(self._queue) >= QUEUE else now

    def refusal(self, goal: XYZ) -> str:
        """Return why the controller does not go to native `goal`; "" if it does."""
        for axis, (low, high) in enumerate((self._limits.x_mm, self._limits.y_mm, self._limits.z_mm)):
            if self.homed[axis] and not low - 1e-6 <= goal[axis] <= high + 1e-6:
                self._record.note(Violation("out-of-limits", f"{_AXES[axis]}{goal[axis]:.3f}", goal))
                return f"{_AXES[axis]}{goal[axis]:.2f} is not within {low:.2f} to {high:.2f}"
        return ""

    def go(self, goal: XYZ, feed_mm_min: float, now: float, filament_mm: float = 0.0) -> None:
        """Queue a straight move to native `goal`. With an axis not homed it starts from who knows where."""
        moved = [axis for axis in range(3) if abs(goal[axis] - self.goal[axis]) > 1e-9]
        if any(not self.homed[axis] for axis in moved):
            self._record.note(Violation("before-homing", "move from an unknown place", self.true_at(now)))
        reached = self._in_frame(_plus(goal, self._lost))
        self._add(reached, feed_mm_min, now, filament_mm=filament_mm)
        self._lost = _less(reached, goal)

    def home(self, axes: tuple[int, ...], now: float) -> None:
        """Queue a homing: up a little, sideways to the switches, then down to Z = 0.

        Nothing else may be queued before it has ended.
        """
        x, y, z = self._last
        z = min(z + HOMING_HOP_MM, self._limits.z_mm[1])
        self._add((x, y, z), self._limits.lift_feed_mm_min, now)
        x = self._limits.x_mm[0] if 0 in axes else x
        y = self._limits.y_mm[0] if 1 in axes else y
        self._add((x, y, z), HOMING_FEED_MM_MIN, now, tuple(axis for axis in axes if axis < 2))
        if 2 in axes:
            self._add((x, y, max(0.0, self._limits.z_mm[0])), self._limits.lift_feed_mm_min, now, (2,))

    def advance(self, now: float) -> None:
        """Let time pass to `now`."""
        while self._queue and self._queue[0].end <= now:
            self._finish(self._queue.popleft())

    def halt(self, now: float) -> None:
        """Stop where the nozzle is, at once; what was queued is dropped and the position is lost."""
        self.advance(now)
        if self._queue:
            cut = self._queue[0]
            self._finish(cut._replace(goal=cut.at(now), homes=()))
        self._queue.clear()
        self.motors_off()

    def motors_off(self) -> None:
        """Let go of the axes: nothing is known of the position any more."""
        self.homed = [False, False, False]

    @property
    def _last(self) -> XYZ:
        return self._queue[-1].goal if self._queue else self._true

    def _add(
        self,
        goal: XYZ,
        feed_mm_min: float,
        now: float,
        homes: tuple[int, ...] = (),
        filament_mm: float = 0.0,
    ) -> None:
        origin, start = self._last, max(now, self.ends(now))
        way_mm = dist(origin, goal) or abs(filament_mm)
        took = way_mm / (feed_mm_min / 60.0) + (RAMP_S if way_mm else 0.0)
        self._queue.append(Segment(start, start + took, origin, goal, homes, filament_mm))

    def _in_frame(self, goal: XYZ) -> XYZ:
        """Return where the frame lets the nozzle get: a motor that meets its end only stalls."""
        x, y = self._limits.x_mm, self._limits.y_mm
        return (
            min(max(goal[0], x[0]), x[1]),
            min(max(goal[1], y[0]), y[1]),
            min(max(goal[2], _FRAME_BELOW_MM), self._limits.z_mm[1]),
        )

    def _finish(self, segment: Segment) -> None:
        if not self._beside_the_plate(segment):
            watch(segment, self._plate, self._limits.clearance_mm, self._record)
        if segment.filament_mm:
            extrude(segment, self._plate, self._record)
        self._true = segment.goal
        for axis in segment.homes:
            self.homed[axis] = True
            self._lost = _with_zero(self._lost, axis)
        if 2 in segment.homes:
            self._plate.home()
            self._record.homings += 1

    def _beside_the_plate(self, segment: Segment) -> bool:
        """Whether Z is being homed at the corner of X and Y, where the nozzle stands beside the plate."""
        return 2 in segment.homes and segment.goal[:2] == (self._limits.x_mm[0], self._limits.y_mm[0])


def _plus(a: XYZ, b: XYZ) -> XYZ:
    return a[0] + b[0], a[1] + b[1], a[2] + b[2]


def _less(a: XYZ, b: XYZ) -> XYZ:
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]


def _with_zero(a: XYZ, axis: int) -> XYZ:
    return 0.0 if axis == 0 else a[0], 0.0 if axis == 1 else a[1], 0.0 if axis == 2 else a[2]
