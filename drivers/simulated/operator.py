"""The virtual hand: feels leaves and cards under the virtual nozzle and turns adjusters, not quite exactly.

All its errors come from one seed. Thickness errors are those of a set of leaves and of one card, so
they stay the same for a whole job; what the fingers add is new each time. Sizes: common practice and
the declared assumptions of the sources for feeler gauges, no standard.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, Protocol

import msgspec
import numpy as np

from drivers.simulated.plastic import Look
from drivers.simulated.plate import Plate
from profiles.grid import GridValue
from profiles.machine import XY, Adjuster, Thread

LeafFeel = Literal["slides", "drags", "will not enter"]
CardFeel = Literal["free", "drag", "tight"]
Tool = Literal["caliper", "micrometer"]
Slip = Literal["reading", "turn-other-way", "turn-forgotten"]


class Nozzle(Protocol):
    """What the operator works at: a plate and where the nozzle truly stands over it now, mm."""

    @property
    def plate(self) -> Plate:
        """The plate worked at."""

    def gap_mm(self) -> float:
        """Return the gap under the nozzle now; inf beside the plate."""

    def turned(self) -> None:
        """Be told that the plate was moved."""


class Hand(msgspec.Struct, frozen=True):
    """How good a hand is. Standard deviations, except where it says half width.

    The slips are probabilities: a reading told a step off, a turn made the other way or not at all.
    """

    turn_sd_deg: float = 5.0
    leaf_sd_mm: float = 0.003
    leaf_drag_mm: float = 0.004
    leaf_off_thin_mm: float = 0.005  # half width, leaves up to 0.10 mm
    leaf_off_thick_mm: float = 0.010  # half width, thicker leaves
    card_sd_mm: float = 0.002
    card_drag_mm: float = 0.010  # half width of the zone in which the card drags lightly
    card_off_mm: float = 0.005  # half width
    daylight_sd_mm: float = 0.02
    caliper_sd_mm: float = 0.02
    micrometer_sd_mm: float = 0.005
    slip_reading: float = 0.0
    slip_other_way: float = 0.0
    slip_forgotten: float = 0.0


STEADY = Hand(0.0, 0.0, 0.004, 0.0, 0.0, 0.0, 0.010, 0.0, 0.0, 0.0, 0.0)


class Operator:
    """A hand at one simulated printer. `slips` lists what went wrong unnoticed, for benchmarks."""

    def __init__(self, at: Nozzle, seed: int = 1, hand: Hand | None = None) -> None:
        self.hand = hand or Hand()
        self.slips: list[tuple[Slip, str]] = []
        self._at = at
        self._seed = seed
        self._rng = np.random.default_rng([seed, 3])
        self._errors: dict[tuple[int, int, int], float] = {}

    def daylight(self, thick_mm: float) -> bool:
        """Whether a thick card passes under the nozzle."""
        return self._at.gap_mm() > thick_mm + self._noise(self.hand.daylight_sd_mm)

    def leaf(self, leaf_mm: float) -> LeafFeel:
        """How one leaf goes in."""
        room = self._at.gap_mm() - self._leaf_true_mm(leaf_mm) + self._noise(self.hand.leaf_sd_mm)
        if room < -self.hand.leaf_drag_mm:
            return "will not enter"
        return "drags" if room < self.hand.leaf_drag_mm else "slides"

    def enters(self, leaf_mm: float) -> bool:
        """Whether a leaf goes in, freely or with a drag."""
        return self.leaf(leaf_mm) != "will not enter"

    def leaf_reading(self, leaves_mm: Sequence[float]) -> tuple[float | None, float | None]:
        """Return the thickest leaf that goes in and the thinnest that does not; None: there is none."""
        leaves = sorted(leaves_mm)
        first = next((nth for nth, leaf in enumerate(leaves) if not self.enters(leaf)), len(leaves))
        if self._slips("reading", self.hand.slip_reading, f"{len(leaves)} leaves"):
            first = min(max(first + (1 if self._rng.random() < 0.5 else -1), 0), len(leaves))
        low = leaves[first - 1] if first > 0 else None
        return low, leaves[first] if first < len(leaves) else None

    def feel(self, card_mm: float) -> CardFeel:
        """How the card feels when it is drawn under the nozzle."""
        off_mm = self._fixed_error("card", card_mm) * self.hand.card_off_mm
        room = self._at.gap_mm() - card_mm - off_mm + self._noise(self.hand.card_sd_mm)
        felt: CardFeel = "drag"
        if abs(room) > self.hand.card_drag_mm:
            felt = "free" if room > 0.0 else "tight"
        if self._slips("reading", self.hand.slip_reading, f"card {card_mm:g}"):
            return "tight" if felt == "free" else "free"
        return felt

    def pad_thickness(self, at_mm: XY, tool: Tool) -> float | None:
        """Return a pad's thickness as read off a tool, mm; None where there is no pad to measure."""
        true_mm = self._at.plate.plastic.thick_mm(at_mm)
        if true_mm is None:
            return None
        caliper = tool == "caliper"
        sd_mm = self.hand.caliper_sd_mm if caliper else self.hand.micrometer_sd_mm
        return max(round(true_mm + self._noise(sd_mm), 2 if caliper else 3), 0.0)

    def pad_look(self, at_mm: XY) -> Look | None:
        """Return how a pad looks, 1 (lines apart, loose) to 5 (scraped); None where nothing was laid down."""
        return self._at.plate.plastic.look(at_mm)

    def clear_plate(self) -> None:
        """Take everything off the plate."""
        self._at.plate.plastic.wipe()

    def turn(self, adjuster: str, turns: float) -> float:
        """Turn an adjuster, or the endstop screw, about `turns` clockwise; return what was really turned.

        Raises KeyError for an unknown adjuster.
        """
        wanted = turns
        if self._slips("turn-forgotten", self.hand.slip_forgotten, adjuster):
            wanted = 0.0
        elif self._slips("turn-other-way", self.hand.slip_other_way, adjuster):
            wanted = -turns
        made = self._at.plate.turn(adjuster, self._aimed(adjuster, wanted))
        self._at.turned()
        return made

    def raise_nozzle(self, change_mm: float) -> float:
        """Change the nozzle height in the machine's own menu, which counts in 0.01 mm; + raises."""
        made = round(change_mm, 2)
        self._at.plate.offset_mm += made
        return made

    def type_grid(self, values: Sequence[GridValue]) -> None:
        """Type the numbers of the compensation into the machine's own menu, and switch it on there."""
        grid = self._at.plate.grid
        if grid is None:
            raise ValueError("this machine has no compensation in its menu")
        for value in values:
            grid.set(value.column, value.row, value.offset_mm)
        grid.active = True

    def _aimed(self, adjuster: str, turns: float) -> float:
        """Return the turns a hand makes of it: shims are whole sheets, screws are a little off."""
        thread = self._thread(adjuster)
        if isinstance(thread, Adjuster) and thread.kind != "screw":
            return round(turns) if thread.kind == "shim" else turns
        return turns + self._noise(self.hand.turn_sd_deg / 360.0) if turns else 0.0

    def _thread(self, adjuster: str) -> Thread | None:
        machine = self._at.plate.machine
        named = (one for one in machine.adjuster if one.name == adjuster)
        return next(named, machine.height.screw)

    def _leaf_true_mm(self, leaf_mm: float) -> float:
        half = self.hand.leaf_off_thin_mm if leaf_mm <= 0.10 else self.hand.leaf_off_thick_mm
        return leaf_mm + self._fixed_error("leaf", leaf_mm) * half

    def _fixed_error(self, what: Literal["leaf", "card"], thick_mm: float) -> float:
        """Return this set's own error of one thickness, from -1 to 1: the same whenever it is asked for."""
        key = (self._seed, 4 if what == "leaf" else 5, round(thick_mm * 1000.0))
        if key not in self._errors:
            self._errors[key] = float(np.random.default_rng(key).uniform(-1.0, 1.0))
        return self._errors[key]

    def _noise(self, sd: float) -> float:
        return float(self._rng.normal(0.0, sd)) if sd > 0.0 else 0.0

    def _slips(self, slip: Slip, probability: float, what: str) -> bool:
        if probability <= 0.0 or self._rng.random() >= probability:
            return False
        self.slips.append((slip, what))
        return True
