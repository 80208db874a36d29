"""How a simulated bed is found: drawn from a seed, never told to anything but the plate itself.

The sizes are common experience with such beds, no source.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

import numpy as np

from drivers.simulated.sheet import DEGREE, Array, term
from profiles.machine import Adjuster, Machine, Thread
from profiles.threads import mm_per_turn, raise_per_clockwise_turn_mm

Start = Literal["snugged", "level", "far", "high", "bowed", "tilted"]

RIGID_N_MM = 4000.0  # a screw head, a bolted shim stack, a motor's spindle
SOFT_N_MM = (1.0, 10.0)  # springs or foam under a floating plate
PITCH_OFF = 0.10
_GAP_ERROR_MM = {  # common to all supports, and of each support on its own
    "snugged": ((0.15, 0.45), 0.20),
    "level": ((-0.01, 0.01), 0.01),
    "far": ((1.5, 2.5), 0.20),
    "high": ((-0.9, -0.5), 0.15),
    "bowed": ((0.15, 0.45), 0.20),
    "tilted": ((0.15, 0.45), 0.05),
}
_TILTED_MM = 2.0  # from corner to corner
_FIXED_OFF_MM = 0.015  # a support that nothing can move was set well by whoever built the machine


class Found(NamedTuple):
    """What was drawn. Lists run along the machine's adjusters.

    gap_error_mm: gap at each support above the wanted gap. height_error_mm: what the nozzle is too
    high, where height is set apart from the bed. rise_mm: what the plate really does for one
    clockwise turn. shape: coefficients of the plate's free shape. bow_mm_per_k: its warm bow.
    """

    gap_error_mm: tuple[float, ...]
    height_error_mm: float
    rise_mm: tuple[float, ...]
    endstop_rise_mm: float
    stiffness_n_mm: tuple[float, ...]
    shape: Array
    waves: Array
    bow_mm_per_k: float


def draw(machine: Machine, start: Start, rng: np.random.Generator) -> Found:
    """Return a bed as found. The same seed and start give the same bed."""
    common_mm = _common_mm(machine, start, rng)
    apart = machine.height.by != "bed adjusters"
    tilt = _tilt_mm(machine, rng) if start == "tilted" else [0.0] * len(machine.adjuster)
    soft = _soft(machine, rng)
    spring = float(rng.uniform(*SOFT_N_MM))
    return Found(
        gap_error_mm=tuple(
            _support_error_mm(adjuster, start, (0.0 if apart else common_mm) + tilt_mm, apart, rng)
            for adjuster, tilt_mm in zip(machine.adjuster, tilt, strict=True)
        ),
        height_error_mm=common_mm if apart else 0.0,
        rise_mm=tuple(_rise_mm(adjuster, rng) for adjuster in machine.adjuster),
        endstop_rise_mm=_rise_mm(machine.height.screw, rng) if machine.height.screw else 0.0,
        stiffness_n_mm=tuple(
            spring * float(rng.uniform(0.95, 1.05)) if soft and adjuster.kind == "screw" else RIGID_N_MM
            for adjuster in machine.adjuster
        ),
        shape=_shape(start, rng),
        waves=_waves(rng),
        bow_mm_per_k=float(rng.normal(0.0, 0.0002)),
    )


def _common_mm(machine: Machine, start: Start, rng: np.random.Generator) -> float:
    """Return the gap error that all supports share, as far as the adjusters could mend it."""
    low, high = _GAP_ERROR_MM[start][0]
    wanted = float(rng.uniform(low, high))
    if machine.height.by != "bed adjusters":
        return wanted
    reaches = [_reach_mm(adjuster) for adjuster in machine.adjuster if adjuster.kind != "fixed"]
    lowest, highest = max((r[0] for r in reaches), default=0.0), min((r[1] for r in reaches), default=0.0)
    return min(max(wanted, 0.7 * lowest), 0.7 * highest)


def _reach_mm(adjuster: Adjuster) -> tuple[float, float]:
    """Return the gap errors, most negative and most positive, that the adjuster has the travel to mend."""
    rise_mm = raise_per_clockwise_turn_mm(adjuster)
    if rise_mm is None:
        either = min(abs(turns) for turns in adjuster.travel_turns) * mm_per_turn(adjuster)
        return -either, either
    low, high = sorted(turns * rise_mm for turns in adjuster.travel_turns)
    return low, high


def _support_error_mm(
    adjuster: Adjuster, start: Start, wanted_mm: float, apart: bool, rng: np.random.Generator
) -> float:
    if adjuster.kind == "fixed":
        return float(rng.uniform(-_FIXED_OFF_MM, _FIXED_OFF_MM))
    share, own_mm = float(rng.uniform(-1.0, 1.0)), _GAP_ERROR_MM[start][1]
    low, high = (0.8 * reach for reach in _reach_mm(adjuster))
    if apart and (low == 0.0 or high == 0.0):  # shims only raise: the support is found low, never high
        share = (share + 1.0) / 2.0 if low == 0.0 else (share - 1.0) / 2.0
    error = wanted_mm + share * own_mm
    return min(max(error, low), high)


def _tilt_mm(machine: Machine, rng: np.random.Generator) -> list[float]:
    """Return what a tilt makes of the gap at each support: some way, so much from corner to corner in all."""
    at = np.array([adjuster.at_mm for adjuster in machine.adjuster])
    half = np.maximum((at.max(axis=0) - at.min(axis=0)) / 2.0, 1.0)
    share = float(rng.uniform(0.0, 1.0))
    way = np.array([share, 1.0 - share]) * np.where(rng.random(2) < 0.5, 1.0, -1.0)
    tilt: list[float] = (
        (at - (at.max(axis=0) + at.min(axis=0)) / 2.0) / half @ way * _TILTED_MM / 2.0
    ).tolist()
    return tilt


def _rise_mm(thread: Thread, rng: np.random.Generator) -> float:
    """Return the real rise for one clockwise turn: pitch a little off, unknown direction drawn."""
    off, side = 1.0 + float(rng.uniform(-PITCH_OFF, PITCH_OFF)), 1.0 if rng.random() < 0.5 else -1.0
    if isinstance(thread, Adjuster) and thread.kind == "fixed":
        return 0.0
    nominal = raise_per_clockwise_turn_mm(thread)
    return off * (side * mm_per_turn(thread) if nominal is None else nominal)


def _soft(machine: Machine, rng: np.random.Generator) -> bool:
    """Whether the plate floats: by the profile, or drawn where the profile does not know."""
    drawn = bool(rng.random() < 0.5)
    return drawn if machine.bed.mount == "unknown" else machine.bed.mount == "floating"


def _shape(start: Start, rng: np.random.Generator) -> Array:
    """Return the free shape's coefficients: bow along x and y, twist, a little third order."""
    shape = np.zeros((DEGREE + 1) * (DEGREE + 2) // 2)
    side = 1.0 if rng.random() < 0.5 else -1.0
    bow = side * rng.uniform(0.12, 0.20, 2) if start == "bowed" else rng.uniform(-0.02, 0.02, 2)
    shape[term(2, 0)], shape[term(0, 2)] = bow
    shape[term(1, 1)] = rng.uniform(-0.04, 0.04)
    for at in (term(3, 0), term(0, 3), term(2, 1), term(1, 2)):
        shape[at] = rng.uniform(-0.003, 0.003)
    return shape


def _waves(rng: np.random.Generator) -> Array:
    """Return the small unevenness: rows of wave numbers along x and y (1/mm), phase, height (mm)."""
    length_mm = rng.uniform(60.0, 160.0, 5)
    heading, phase = rng.uniform(0.0, 2.0 * np.pi, (2, 5))
    height = rng.normal(0.0, 0.004, 5)
    turn = 2.0 * np.pi / length_mm
    return np.column_stack((turn * np.cos(heading), turn * np.sin(heading), phase, height))
