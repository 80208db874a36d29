"""A machine as the arrays that the model works on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from profiles.machine import Adjuster, Machine, Point
from profiles.threads import mm_per_turn
from wizard.solver import priors
from wizard.solver.influence import bend_influence, plane_influence
from wizard.solver.leastsquares import Array

USUAL_GAP_MM = 0.15  # where a profile's own figure cannot be: 0.20 mm layer, three quarters of it
USUAL_TOLERANCE_MM = 0.05


@dataclass(frozen=True, eq=False)
class Layout:
    """Points (n), movable adjusters (m) and what is wanted, as arrays.

    points, adjusters: names. at: (n, 2) mm. uv: (n, 2) scaled to about -1..1. plane, bend: (n, m) rise of a
    point per mm of raise at an adjuster. mm_per_turn: (m,) signed, clockwise raises is +. spread: (m,)
    relative uncertainty. unknown_way: (m,) True where the direction is not known. angle: (m,) error of a
    turn, turns. step, low, high: (m,) turns. target_mm, tolerance_mm: of the gap at the measuring height.
    height_apart: the nozzle height is set by other means than the adjusters, in steps of height_step_mm (0:
    as fine as one likes). proof_only: (n,) True at points
    that are not read before the others are proven.
    """

    points: tuple[str, ...]
    adjusters: tuple[str, ...]
    at: Array
    uv: Array
    plane: Array
    bend: Array
    mm_per_turn: Array
    spread: Array
    unknown_way: npt.NDArray[np.bool_]
    angle: Array
    step: Array
    low: Array
    high: Array
    share: tuple[float, float]
    target_mm: float
    tolerance_mm: float
    height_apart: bool
    height_step_mm: float
    proof_only: npt.NDArray[np.bool_]

    @property
    def twists(self) -> bool:
        """Whether raising an adjuster bends the plate at all."""
        return bool(self.bend.size and np.abs(self.bend).max() > 1e-6)

    def height_mm(self, off: Array) -> float:
        """Return how far to raise the nozzle, in its steps, so that the largest of (n,) is least."""
        best_mm = -float(off.max() + off.min()) / 2.0
        step_mm = self.height_step_mm
        return round(best_mm / step_mm) * step_mm if step_mm else best_mm

    def index(self, point: str) -> int | None:
        """Return the row of a point, None where it is not one of ours."""
        return self.points.index(point) if point in self.points else None


def layout_of(machine: Machine) -> Layout:
    """Return the arrays for a machine. Points and adjusters without finite coordinates are left out."""
    try:
        return _cached(machine)
    except TypeError:  # a machine made by hand with lists in it cannot be a key
        return _build(machine)


def support_influence(machine: Machine) -> tuple[tuple[str, ...], tuple[str, ...], Array]:
    """Return names of points (n) and of all supports (s), fixed ones too, and (n, s): rise per mm of raise.

    Of the bending, the share that the mount is taken to let through.
    """
    points, supports = _usable(machine.point), _usable(machine.adjuster)
    at = np.array([p.at_mm for p in points], dtype=float).reshape(-1, 2)
    held = np.array([a.at_mm for a in supports], dtype=float).reshape(-1, 2)
    share, _ = priors.TWIST_SHARE[machine.bed.mount]
    bend = bend_influence(at, held, *_plate(machine, held))
    whole: Array = plane_influence(at, held) + share * bend
    return tuple(p.name for p in points), tuple(a.name for a in supports), whole


def _finite(values: tuple[float, ...]) -> bool:
    return all(math.isfinite(v) and abs(v) < 1e6 for v in values)


@lru_cache(maxsize=16)
def _cached(machine: Machine) -> Layout:
    return _build(machine)


def _build(machine: Machine) -> Layout:
    points = _usable(machine.point)
    supports = _usable(machine.adjuster)
    moving = [j for j, a in enumerate(supports) if _moves(a)]
    at = np.array([p.at_mm for p in points], dtype=float).reshape(-1, 2)
    held = np.array([a.at_mm for a in supports], dtype=float).reshape(-1, 2)
    corners, is_round = _plate(machine, held)
    movable = [supports[j] for j in moving]
    height, tolerance = _wanted(machine)
    return Layout(
        points=tuple(p.name for p in points),
        adjusters=tuple(a.name for a in movable),
        at=at,
        uv=_scaled(at, np.vstack([at, held])),
        plane=plane_influence(at, held)[:, moving],
        bend=bend_influence(at, held, corners, is_round)[:, moving],
        mm_per_turn=np.array([_signed_mm(a) for a in movable]),
        spread=np.array([priors.SHEET if a.kind == "shim" else priors.PITCH_EACH for a in movable]),
        unknown_way=np.array([a.clockwise == "unknown" and a.kind != "shim" for a in movable], dtype=bool),
        angle=np.array([0.0 if a.kind in ("motor", "shim") else priors.ANGLE_TURNS for a in movable]),
        step=np.array([_step(a) for a in movable]),
        low=np.array([min(a.travel_turns) for a in movable], dtype=float),
        high=np.array([max(a.travel_turns) for a in movable], dtype=float),
        share=priors.TWIST_SHARE[machine.bed.mount],
        target_mm=height,
        tolerance_mm=tolerance,
        height_apart=machine.height.by != "bed adjusters",
        height_step_mm=_height_step_mm(machine),
        proof_only=np.array([p.only is not None for p in points], dtype=bool),
    )


Placed = TypeVar("Placed", Point, Adjuster)


def _usable(parts: Sequence[Placed]) -> tuple[Placed, ...]:
    """Return the parts with finite coordinates; of several of one name only the first counts."""
    first: dict[str, Placed] = {}
    for part in parts:
        first.setdefault(part.name, part)
    return tuple(part for part in first.values() if _finite(part.at_mm))


def _moves(adjuster: Adjuster) -> bool:
    low, high = adjuster.travel_turns
    return adjuster.kind != "fixed" and _finite((low, high)) and abs(high - low) > 0.0


def _step(adjuster: Adjuster) -> float:
    if adjuster.kind == "shim":
        return 1.0
    step = adjuster.step_turns
    return step if math.isfinite(step) and step > 1e-9 else 1.0 / 16.0


def _height_step_mm(machine: Machine) -> float:
    """Return the height of one step of an endstop screw; 0 for a number, which may be ever so fine."""
    screw = machine.height.screw
    if machine.height.by != "endstop screw" or screw is None:
        return 0.0
    try:
        step_mm = screw.step_turns * mm_per_turn(screw)
    except ValueError:
        return 0.0
    return step_mm if 1e-6 < step_mm < 1e3 else 0.0


def _signed_mm(adjuster: Adjuster) -> float:
    try:
        size = mm_per_turn(adjuster)
    except ValueError:
        size = priors.UNKNOWN_PITCH_MM
    if not (math.isfinite(size) and 1e-6 < size < 1e3):
        size = priors.UNKNOWN_PITCH_MM
    # Common practice: a screw through the plate pulls it down when tightened, so that is tried first;
    # a sheet more always raises.
    if adjuster.clockwise == "unknown":
        return size if adjuster.kind == "shim" else -size
    return size if adjuster.clockwise == "raises" else -size


def _plate(machine: Machine, supports: Array) -> tuple[Array, bool]:
    """Return the plate's least and greatest x, y, widened to hold all supports, and whether it is round."""
    bed = machine.bed
    size = bed.size_mm if bed.shape == "rectangle" else (bed.diameter_mm or 0.0,) * 2
    corners = supports
    if size is not None and _finite((*size, *bed.origin_mm)) and min(size) > 0.0:
        low = np.array(bed.origin_mm) - (np.array(size) / 2.0 if bed.shape == "round" else 0.0)
        corners = np.vstack([supports, low, low + np.array(size)])
    if len(corners) == 0:
        corners = np.zeros((1, 2))
    return np.vstack([corners.min(axis=0), corners.max(axis=0)]), bed.shape == "round"


def _scaled(at: Array, everything: Array) -> Array:
    if len(everything) == 0:
        return at
    low, high = everything.min(axis=0), everything.max(axis=0)
    half = max(float((high - low).max()) / 2.0, 1e-6)
    scaled: Array = (at - (low + high) / 2.0) / half
    return scaled


def _wanted(machine: Machine) -> tuple[float, float]:
    """Return the target gap at the measuring height and the tolerance, mm."""
    target, tolerance = machine.wanted_gap_mm, machine.first_layer.tolerance_mm
    if not abs(target) < 50.0:  # also where it is not a number
        target = USUAL_GAP_MM
    return target, tolerance if 1e-4 < tolerance < 50.0 else USUAL_TOLERANCE_MM
