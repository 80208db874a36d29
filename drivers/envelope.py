"""The safety envelope as a pure value keeper: what is known of the machine, and what may be asked of it.

`plan_*` make the blocks of a motion; `admit` checks every single block again before it is written,
whoever made it. `printer.py` writes nothing that was not admitted.
"""

from __future__ import annotations

import math
import re

from drivers.commands import RELATIVE_FILAMENT, Command, Draw, Home, Move, Push, SetBed, SetNozzle, Template
from drivers.errors import MoveRefused
from drivers.layer_rules import Layer
from drivers.limits import SAME_MM, admit_heat, admit_inside, same
from profiles.machine import XY, Machine, Point

STEP_MM = 0.25
SLOW_MM = 1.0
ABOVE_MM = 0.5
SLOW_FEED_MM_MIN = 120.0
HOMING_MM_S = (20.0, 5.0)
_MOTORS_OFF = re.compile(r"M0*(?:18|84)\b(?!.*S)", re.IGNORECASE)


class Envelope:
    """Position and homing as known by what was carried out; None where an axis is not known.

    A fresh envelope knows nothing, and so allows nothing but homing and heating.
    """

    def __init__(self, machine: Machine) -> None:
        self._machine = machine
        self._motion = machine.motion
        self._why_unknown = "the machine has not been homed since the line was opened"
        self.homed = False
        self.x_mm: float | None = None
        self.y_mm: float | None = None
        self.z_mm: float | None = None
        self._layer: Layer | None = None

    @property
    def slow_feed_mm_min(self) -> float:
        """Feed of the last millimetre down."""
        return min(SLOW_FEED_MM_MIN, self._motion.lift_feed_mm_min)

    @property
    def longest_mm(self) -> float:
        """The longest way one axis can go."""
        motion = self._motion
        return max(high - low for low, high in (motion.x_mm, motion.y_mm, motion.z_mm))

    def homing_s(self) -> float:
        """How long homing may take: each axis once along its length, slowly, and once more for the touch."""
        motion = self._motion
        spans = [high - low for low, high in (motion.x_mm, motion.y_mm, motion.z_mm)]
        return 10.0 + sum(spans[:2]) / HOMING_MM_S[0] + spans[2] / HOMING_MM_S[1]

    def position_mm(self) -> tuple[float, float, float] | None:
        """Return where the nozzle stands, if all of it is known."""
        if not self.homed or self.x_mm is None or self.y_mm is None or self.z_mm is None:
            return None
        return (self.x_mm, self.y_mm, self.z_mm)

    def forget(self, why: str) -> None:
        """Nothing is known any more: after a reset, a fault, a stop, or when the motors were off."""
        self._why_unknown = why
        self.homed = False
        self.x_mm = self.y_mm = self.z_mm = None
        self._layer = None

    def begin_layer(self, nozzle_c: float) -> None:
        """A print request begins, with the filament's temperature. Raises MoveRefused. See `layer_rules`."""
        self._layer = Layer(self._machine, nozzle_c)

    @property
    def drawn_back_mm(self) -> float:
        """How much filament is drawn back in this print request."""
        return self._layer.drawn_back_mm if self._layer else 0.0

    def end_layer(self) -> None:
        """The print request is over, however it ended: no plastic any more."""
        self._layer = None

    def heard_nozzle(self, nozzle_c: float | None) -> None:
        """The machine has told how hot the nozzle is."""
        if self._layer is not None:
            self._layer.nozzle_c = nozzle_c

    def has_homed(self, at_mm: tuple[float, float, float] | None) -> None:
        """The axes were homed; `at_mm` is where the machine says it stands, if it can say so."""
        self.homed = True
        self.x_mm, self.y_mm, self.z_mm = at_mm if at_mm else (None, None, None)

    def carried_out(self, command: Command) -> None:
        """The machine accepted `command`."""
        if isinstance(command, Home):
            self.has_homed(None)
        elif isinstance(command, Draw):
            self.x_mm, self.y_mm = command.x_mm, command.y_mm
        elif isinstance(command, Push) and self._layer is not None:
            self._layer.drawn_back_mm -= command.extrude_mm
        elif command == RELATIVE_FILAMENT and self._layer is not None:
            self._layer.relative = True
        elif isinstance(command, Move):
            self.x_mm = self.x_mm if command.x_mm is None else command.x_mm
            self.y_mm = self.y_mm if command.y_mm is None else command.y_mm
            self.z_mm = self.z_mm if command.z_mm is None else command.z_mm
        elif isinstance(command, Template) and _MOTORS_OFF.match(command.block):
            self.forget("its motors were switched off")

    def admit(self, command: Command) -> None:
        """Raise MoveRefused, with the reason, unless `command` may be written now."""
        if isinstance(command, Move):
            self._admit_move(command)
        elif isinstance(command, Draw | Push):
            self._admit_plastic(command)
        elif isinstance(command, SetNozzle):
            admit_heat("nozzle", command.target_c, self._machine.heat.max_nozzle_c)
        elif isinstance(command, SetBed):
            admit_heat("plate", command.target_c, self._machine.heat.max_bed_c)

    def _admit_move(self, move: Move) -> None:
        if not self.homed:
            raise MoveRefused(f"No move before homing: {self._why_unknown}.")
        for axis, value, limits in self._targets(move):
            admit_inside(axis, value, limits)
        if move.x_mm is not None or move.y_mm is not None:
            self._admit_sideways(move)
        elif move.z_mm is not None:
            self._admit_height(move.z_mm, move.feed_mm_min)

    def _admit_plastic(self, command: Draw | Push) -> None:
        here = self.position_mm()
        if here is None:
            raise MoveRefused(f"No filament is moved before homing: {self._why_unknown}.")
        if self._layer is None:
            raise MoveRefused("Filament is moved only in a check print.")
        if isinstance(command, Push):
            return self._layer.admit_push(command)
        return self._layer.admit_draw(here, command)

    def _targets(self, move: Move) -> list[tuple[str, float, XY]]:
        motion = self._motion
        axes = (("X", move.x_mm, motion.x_mm), ("Y", move.y_mm, motion.y_mm), ("Z", move.z_mm, motion.z_mm))
        return [(axis, value, limits) for axis, value, limits in axes if value is not None]

    def _admit_sideways(self, move: Move) -> None:
        clearance = self._motion.clearance_mm
        if move.z_mm is not None:
            raise MoveRefused("A sideways move may not change the height at the same time.")
        if self.z_mm is None or self.z_mm < clearance - SAME_MM:
            raise MoveRefused(f"Sideways only at the clearance height of {clearance:g} mm or above.")

    def _admit_height(self, z_mm: float, feed_mm_min: float) -> None:
        if z_mm >= self._motion.clearance_mm - SAME_MM:
            return
        if self.z_mm is None:
            raise MoveRefused("The height is not known; go to the clearance height first.")
        if z_mm >= self.z_mm:
            return
        if self._layer is not None and self.x_mm is not None and self.y_mm is not None:
            self._layer.admit_down((self.x_mm, self.y_mm), z_mm)
        elif self.point_below() is None:
            raise MoveRefused("Below the clearance height only over one of the profile's points.")
        near_mm = self._machine.measuring_height_mm + SLOW_MM
        too_far = self.z_mm - z_mm > STEP_MM + SAME_MM
        if z_mm < near_mm - SAME_MM and (too_far or feed_mm_min > self.slow_feed_mm_min):
            raise MoveRefused(f"The last {SLOW_MM:g} mm down is gone slowly, in steps of {STEP_MM:g} mm.")

    def point_below(self) -> Point | None:
        """Return the profile's point over which the nozzle stands, if any."""
        if not self.homed or self.x_mm is None or self.y_mm is None:
            return None
        for point in self._machine.every_point:
            if same(point.at_mm[0], self.x_mm) and same(point.at_mm[1], self.y_mm):
                return point
        return None

    def plan_lift(self) -> list[Move]:
        """Up to clearance height; nothing where the nozzle is known to be there or higher."""
        clearance = self._motion.clearance_mm
        if self.z_mm is not None and self.z_mm >= clearance - SAME_MM:
            return []
        return [Move(z_mm=clearance, feed_mm_min=self._motion.lift_feed_mm_min)]

    def plan_park(self, point: Point, z_mm: float) -> list[Move]:
        """Lift, sideways, down. Raises MoveRefused before anything is planned if the end is not allowed."""
        if point not in self._machine.every_point:
            raise MoveRefused(f"There is no point {point.name!r} at {point.at_mm} in the profile.")
        self.check_height(z_mm)
        x_mm, y_mm = point.at_mm
        over = Move(x_mm=x_mm, y_mm=y_mm, feed_mm_min=self._motion.travel_feed_mm_min, rapid=True)
        lift = self.plan_lift()
        return [*lift, over, *self._approach(self._top_mm(lift), z_mm)]

    def plan_over(self, at_mm: XY) -> list[Move]:
        """Lift, then sideways at clearance height over any place inside the limits."""
        if not self.homed:
            raise MoveRefused(f"No move before homing: {self._why_unknown}.")
        for axis, value, limits in zip("XY", at_mm, (self._motion.x_mm, self._motion.y_mm), strict=True):
            admit_inside(axis, value, limits)
        over = Move(x_mm=at_mm[0], y_mm=at_mm[1], feed_mm_min=self._motion.travel_feed_mm_min, rapid=True)
        return [*self.plan_lift(), over]

    def plan_lower(self, z_mm: float) -> list[Move]:
        """From where the nozzle stands over a point to `z_mm`, always from above."""
        self.check_height(z_mm)
        if self.point_below() is None or self.z_mm is None:
            raise MoveRefused("The nozzle does not stand over one of the profile's points; park it first.")
        return self._approach(self.z_mm, z_mm)

    def plan_begin_line(self, at_mm: XY) -> list[Move]:
        """Lift, over a place, and down to layer height: where a line of a check print begins."""
        if self._layer is None:
            raise MoveRefused("Plastic is laid down only in a check print.")
        over = self.plan_over(at_mm)
        return [*over, *self._descent(self._top_mm(over), self._layer.z_mm)]

    def _top_mm(self, moves: list[Move]) -> float:
        """Return the height at which such moves end."""
        heights = [move.z_mm for move in moves if move.z_mm is not None]
        top_mm = heights[-1] if heights else self.z_mm
        if top_mm is None:
            raise MoveRefused("The height is not known; home first.")
        return top_mm

    def check_height(self, z_mm: float) -> None:
        """Raise MoveRefused unless `z_mm` is a height the nozzle may be parked at."""
        if not self.homed:
            raise MoveRefused(f"No move before homing: {self._why_unknown}.")
        admit_inside("Z", z_mm, self._motion.z_mm)

    def _approach(self, from_mm: float, to_mm: float) -> list[Move]:
        """To a height from above; from below, first past it."""
        if same(from_mm, to_mm):
            return []
        if to_mm < from_mm:
            return self._descent(from_mm, to_mm)
        above_mm = min(to_mm + ABOVE_MM, self._motion.z_mm[1])
        rise = Move(z_mm=above_mm, feed_mm_min=self._motion.lift_feed_mm_min)
        return [rise, *self._descent(above_mm, to_mm)]

    def _descent(self, from_mm: float, to_mm: float) -> list[Move]:
        slow_from_mm = max(to_mm, self._machine.measuring_height_mm) + SLOW_MM
        heights = []
        if from_mm > slow_from_mm + SAME_MM:
            heights = [(slow_from_mm, self._motion.lift_feed_mm_min)]
        steps = math.ceil(round((min(from_mm, slow_from_mm) - to_mm) / STEP_MM, 6))
        heights += [(to_mm + STEP_MM * left, self.slow_feed_mm_min) for left in reversed(range(steps))]
        return [Move(z_mm=round(z_mm, 6), feed_mm_min=feed) for z_mm, feed in heights]
