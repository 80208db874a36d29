"""What a check print may do that nothing else may: go over the plate at layer height while plastic comes out.

One place for all of it. The envelope asks `admit_*` for each block; outside of a print request, which
`Layer` stands for, none of it is allowed. What is refused is refused whole, with the reason.
"""

from __future__ import annotations

import math

from drivers.commands import Draw, Push
from drivers.errors import MoveRefused
from drivers.limits import SAME_MM
from profiles.check_print import LEAST_NOZZLE_C
from profiles.machine import XY, Machine
from profiles.printed import Print
from profiles.room import is_free

COLDER_C = 10.0
"""So much below the filament's temperature plastic is not pushed: it could strip it, or burst what blocks."""

MOST_FLOW = 2.0
"""No line gets more than this much of what its width and height need."""

XYZ = tuple[float, float, float]


class Layer:
    """One print request: the filament's temperature, and what is known while it runs.

    nozzle_c: as last told by the machine; None: not told since the request began. drawn_back_mm: filament.
    relative: the machine has taken the word that lengths of filament count from where it is.
    """

    def __init__(self, machine: Machine, target_c: float) -> None:
        if machine.print is None:
            raise MoveRefused("The profile says nothing of nozzle and filament: it needs [print].")
        most_c = machine.heat.max_nozzle_c
        if not math.isfinite(target_c) or not LEAST_NOZZLE_C <= target_c <= most_c:
            raise MoveRefused(
                f"{target_c:g} °C for the filament is outside {LEAST_NOZZLE_C:g} to {most_c:g} °C."
            )
        self._machine = machine
        self._part: Print = machine.print
        self._target_c = target_c
        self.nozzle_c: float | None = None
        self.drawn_back_mm = 0.0
        self.relative = False

    @property
    def z_mm(self) -> float:
        """The only height at which plastic is laid down."""
        return self._machine.first_layer.height_mm

    def admit_down(self, at_mm: XY, z_mm: float) -> None:
        """Raise MoveRefused unless the nozzle may come down here, to this height."""
        if z_mm < self.z_mm - SAME_MM:
            raise MoveRefused(f"A check print goes no lower than its layer height of {self.z_mm:g} mm.")
        if not is_free(self._machine, at_mm, at_mm, self._part.line_width_mm / 2.0):
            raise MoveRefused("Here nothing may be laid down: it is too near an edge or a clip.")

    def admit_draw(self, here_mm: XYZ, draw: Draw) -> None:
        """Raise MoveRefused unless this line may be laid down from where the nozzle stands."""
        self._admit_plastic()
        if abs(here_mm[2] - self.z_mm) > SAME_MM:
            raise MoveRefused(f"Plastic is laid down at Z {self.z_mm:g} mm and nowhere else.")
        start, end = here_mm[:2], (draw.x_mm, draw.y_mm)
        if not is_free(self._machine, start, end, self._part.line_width_mm / 2.0):
            raise MoveRefused("The line would leave the room for printing, or cross a clip.")
        if self.drawn_back_mm > SAME_MM:
            raise MoveRefused("The filament is drawn back; it is pushed forward first.")
        self._admit_flow(math.dist(start, end), draw)

    def _admit_flow(self, length_mm: float, draw: Draw) -> None:
        section = math.pi * self._part.filament_mm**2 / 4.0
        needs_mm = self._part.line_width_mm * self.z_mm * length_mm / section
        if not 0.0 < draw.extrude_mm <= MOST_FLOW * needs_mm + SAME_MM:
            raise MoveRefused(f"{draw.extrude_mm:g} mm of filament for a line that needs {needs_mm:.3f} mm.")
        if not 0.0 < draw.feed_mm_min <= self._part.feed_mm_min:
            raise MoveRefused(f"Lines are laid down at no more than {self._part.feed_mm_min:g} mm/min.")

    def admit_push(self, push: Push) -> None:
        """Raise MoveRefused unless filament may be drawn back, or pushed forward by what was drawn back."""
        self._admit_plastic()
        after_mm = self.drawn_back_mm - push.extrude_mm
        if not -SAME_MM <= after_mm <= self._part.retract_mm + SAME_MM:
            raise MoveRefused("Filament is drawn back by the profile's length, and pushed forward by that.")
        if not 0.0 < push.feed_mm_min <= self._part.retract_feed_mm_min:
            raise MoveRefused(f"Filament is moved at no more than {self._part.retract_feed_mm_min:g} mm/min.")

    def _admit_plastic(self) -> None:
        if not self.relative:
            raise MoveRefused("Lengths of filament must be relative first.")
        if self.nozzle_c is None:
            raise MoveRefused("The machine has not told how hot the nozzle is; no filament is moved.")
        if not self.nozzle_c >= self._target_c - COLDER_C:  # what is no number is refused, too
            raise MoveRefused(
                f"The nozzle has {self.nozzle_c:g} °C, the filament needs {self._target_c:g} °C; it stays."
            )
