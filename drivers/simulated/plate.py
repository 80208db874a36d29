"""The simulated plate: where its surface really is, and how it answers to turns, heat and homing.

Its mechanics is an elastic sheet on springs, nothing of the wizard's own model. Heights count from
the plane that Z = 0 means after an average homing; machine coordinates; mm.
"""

from __future__ import annotations

import msgspec
import numpy as np

from drivers.simulated.following import Grid
from drivers.simulated.found import Found, Start, draw
from drivers.simulated.plastic import Plastic
from drivers.simulated.surface import Surface
from profiles.machine import Adjuster, Machine, Thread

ENDSTOP = "endstop screw"
ROOM_C = 22.0
HOME_SD_MM = 0.006  # how well a mechanical end stop finds its place again: common practice, no source
SWAP_MM = (0.05, 0.30)  # how much another nozzle differs: common practice, no source
LOOSE_MM = (0.12, 0.30)
NOZZLE_MM_PER_K = 0.00035  # about 18 mm of brass and aluminium below the cold part, 20e-6 per K


class Plate:
    """A bed as found from a seed. Call `home` for each homing; the first is done at once.

    turns: what each adjuster has been turned since it was found, clockwise positive.
    bed_c, nozzle_c: temperatures now. offset_mm: the stored nozzle height (+ raises the nozzle).
    """

    def __init__(self, machine: Machine, seed: int = 1, start: Start = "snugged") -> None:
        self.machine = machine
        self.bed_c = self.nozzle_c = ROOM_C
        self.offset_mm = 0.0
        self.grid: Grid | None = None
        self.plastic = Plastic(seed, machine.print.filament_mm if machine.print else 1.75)
        self._nozzle_mm = 0.0
        self.turns = {adjuster.name: 0.0 for adjuster in machine.adjuster}
        self._homing = np.random.default_rng([seed, 2])
        self._found = draw(machine, start, np.random.default_rng([seed, 1]))
        supports = [adjuster.at_mm for adjuster in machine.adjuster]
        self._surface = Surface(machine.bed, supports, self._found)
        self._bases_mm = _as_found(machine, self._found, self._surface)
        self._lifts_mm = list(self._bases_mm)
        self._endstop_turns = self._endstop_homed = 0.0
        self.home()

    def home(self) -> float:
        """Find Z = 0 anew: draw this homing's shift; an endstop screw's turns count from now on."""
        self.home_shift_mm = float(self._homing.normal(0.0, HOME_SD_MM))
        self._endstop_homed = self._endstop_turns
        return self.home_shift_mm

    def turn(self, name: str, turns: float) -> float:
        """Turn an adjuster (or the endstop screw) clockwise by `turns`; return what its travel allowed.

        Raises KeyError for an unknown name.
        """
        screw = self.machine.height.screw
        if name == ENDSTOP and screw is not None:
            made = _within_travel(screw, self._endstop_turns, turns)
            self._endstop_turns += made
            return made
        adjuster = self.machine.adjuster_named(name)
        made = _within_travel(adjuster, self.turns[name], turns)
        self.turns[name] += made
        nth = self.machine.adjuster.index(adjuster)
        self._lifts_mm[nth] = self._bases_mm[nth] + self._found.rise_mm[nth] * self.turns[name]
        return made

    def take_over(self, other: Plate) -> None:
        """Stand as `other` stands, a plate of the same machine and seed: the machine some time later."""
        for name, turns in other.turns.items():
            self.turn(name, turns - self.turns[name])
        self.offset_mm = other.offset_mm
        if self.grid is not None and other.grid is not None:  # kept, and not followed before it is told to
            self.grid.values = other.grid.values.copy()
        self._nozzle_mm = other._nozzle_mm
        self._endstop_turns = other._endstop_turns
        self.home()

    def swap_nozzle(self, seed: int) -> float:
        """Put in another nozzle: it reaches lower or higher, as drawn. Returns by how much higher, mm."""
        rng = np.random.default_rng([seed, 5])
        size_mm = float(rng.uniform(*SWAP_MM))
        self._nozzle_mm += size_mm if rng.random() < 0.5 else -size_mm
        return self._nozzle_mm

    def loosen(self, seed: int) -> tuple[str, float]:
        """Let one adjuster that can move drift, as drawn. Returns which and how far the plate rose there, mm.

        Raises ValueError where none can move.
        """
        movable = [n for n, a in enumerate(self.machine.adjuster) if a.kind != "fixed"]
        if not movable:
            raise ValueError("no adjuster of this machine can come loose")
        rng = np.random.default_rng([seed, 6])
        nth, size_mm = movable[int(rng.integers(len(movable)))], float(rng.uniform(*LOOSE_MM))
        rise_mm = size_mm if rng.random() < 0.5 else -size_mm
        self._bases_mm[nth] += rise_mm
        self._lifts_mm[nth] += rise_mm
        return self.machine.adjuster[nth].name, rise_mm

    def height_at(self, x: float, y: float) -> float:
        """Return the surface's height as warm as the plate is now; -inf beside the plate."""
        return self._surface.height(x, y, self._lifts_mm, self.bed_c - ROOM_C)

    def gap_at(self, x: float, y: float, z: float) -> float:
        """Return the gap under a nozzle at commanded `z`, as homed and as warm as now; inf off the plate."""
        return z + self.nozzle_above_mm + self._followed_mm(x, y, z) - self.height_at(x, y)

    @property
    def nozzle_mm(self) -> float:
        """By how much higher than the first one the tip of the nozzle that is in ends, mm."""
        return self._nozzle_mm

    @property
    def nozzle_above_mm(self) -> float:
        """How far the nozzle stands above its commanded height, as homed and as warm as now."""
        return self.home_shift_mm + self._zero_mm(self._endstop_homed)

    def _followed_mm(self, x: float, y: float, z: float) -> float:
        return 0.0 if self.grid is None else self.grid.raised_mm(x, y, z)

    def true_gaps(
        self, machine: Machine, z_mm: float, home_shift_mm: float = 0.0, *, printing: bool = False
    ) -> dict[str, float]:
        """Return the gap at each point of `machine` at commanded `z_mm`, mm.

        At the profile's own temperatures of measuring, or of printing, whatever they are now, and after
        an average homing (`home_shift_mm` 0), as the next print will find it.
        """
        bed_k, nozzle_k = _printing_k(machine) if printing else _measuring_k(machine)
        nozzle_mm = z_mm + home_shift_mm + self._zero_mm(self._endstop_turns, nozzle_k)
        return {
            point.name: nozzle_mm
            + self._followed_mm(*point.at_mm, z_mm)
            - self._surface.height(*point.at_mm, self._lifts_mm, bed_k)
            for point in machine.point
        }

    @property
    def true_worst_deviation_mm(self) -> float:
        """The truth a job is judged by: how far the gaps of a first layer are off, hot as it is printed."""
        layer = self.machine.first_layer
        gaps = self.true_gaps(self.machine, layer.height_mm, printing=True)
        return max(abs(gap - layer.gap_mm) for gap in gaps.values())

    def worst_at_mm(self, bed_c: float, nozzle_c: float) -> float:
        """Return the same at other temperatures of printing; 0 is cold."""
        heat = msgspec.structs.replace(self.machine.heat, print_bed_c=bed_c, print_nozzle_c=nozzle_c)
        machine, layer = msgspec.structs.replace(self.machine, heat=heat), self.machine.first_layer
        gaps = self.true_gaps(machine, layer.height_mm, printing=True)
        return max(abs(gap - layer.gap_mm) for gap in gaps.values())

    def _zero_mm(self, endstop_turns: float, nozzle_k: float | None = None) -> float:
        """Return how far the nozzle stands above its commanded height, before this homing's shift."""
        warmer_k = self.nozzle_c - ROOM_C if nozzle_k is None else nozzle_k
        endstop_mm = self._found.endstop_rise_mm * endstop_turns
        length_mm = self._nozzle_mm - NOZZLE_MM_PER_K * warmer_k
        return self._found.height_error_mm + endstop_mm + self.offset_mm + length_mm


def _within_travel(thread: Thread, stands: float, turns: float) -> float:
    """Return the part of `turns` that can be made by a screw that stands at `stands`."""
    low, high = thread.travel_turns
    if isinstance(thread, Adjuster) and thread.kind == "fixed":
        return 0.0
    return min(max(stands + turns, low), high) - stands


def _measuring_k(machine: Machine) -> tuple[float, float]:
    """Return how much warmer than the room plate and nozzle are while measuring; 0 C means cold."""
    heat = machine.heat
    return (heat.bed_c or ROOM_C) - ROOM_C, (heat.nozzle_c or ROOM_C) - ROOM_C


def _printing_k(machine: Machine) -> tuple[float, float]:
    """Return the same while printing; as for measuring where the profile does not say."""
    heat = machine.heat
    bed_c = heat.bed_c if heat.print_bed_c is None else heat.print_bed_c
    nozzle_c = heat.nozzle_c if heat.print_nozzle_c is None else heat.print_nozzle_c
    return (bed_c or ROOM_C) - ROOM_C, (nozzle_c or ROOM_C) - ROOM_C


def _as_found(machine: Machine, found: Found, surface: Surface) -> list[float]:
    """Return the supports' heights that give about the drawn gap errors in print, springs pressed down."""
    bed_k, nozzle_k = _printing_k(machine)
    layer = machine.first_layer
    level_mm = layer.height_mm - layer.gap_mm - NOZZLE_MM_PER_K * nozzle_k
    wanted = [level_mm - error for error in found.gap_error_mm]
    wanted += [level_mm] * (len(surface.supports) - len(wanted))
    reached = surface.heights_at_supports(wanted, bed_k)
    return [2.0 * want - got for want, got in zip(wanted, reached, strict=True)]
