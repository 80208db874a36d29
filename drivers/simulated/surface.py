"""The plate's surface: how high it stands at each place, for given support heights and warmth.

Linear in both, so each place is worked out once and a later question costs a few multiplications.
Machine coordinates, mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from math import cos, inf, sin
from typing import NamedTuple

import numpy as np

from drivers.simulated.found import RIGID_N_MM, Found
from drivers.simulated.materials import Material, material_named
from drivers.simulated.sheet import Array, Outline, arm_row, respond, row, term
from profiles.machine import XY, Bed

FILM_W_M2K = 10.0  # heat given off to still air by a warm plate (textbook order of size, from memory)
SUPPORT_MM_PER_K = 0.0001  # the upper part of a short steel screw grows a little with the plate
KEPT_SPOTS = 20_000
_LEVERAGE = 0.05  # a support set is firm when its weakest lever reaches this share of the plate's half size


class _Spot(NamedTuple):
    """Height of one place: a share of each support's height, what is fixed, and what a kelvin adds."""

    by_support: tuple[float, ...]
    still_mm: float
    per_k_mm: float


class Surface:
    """The elastic plate on the machine's supports.

    Where the machine names too few supports to carry a plate, the frame holds the rest: rigid
    supports at the plate's rim, which come after the named ones in `supports`.
    """

    def __init__(self, bed: Bed, supports: Sequence[XY], found: Found) -> None:
        self._outline, self._centre = _outline(bed)
        self._waves: list[list[float]] = found.waves.tolist()
        self._spots: dict[XY, _Spot] = {}
        self.supports = (*supports, *_held_by_frame(self._outline, self._centre, supports))
        rigid = (RIGID_N_MM,) * (len(self.supports) - len(supports))
        self._solve(bed, found, (*found.stiffness_n_mm, *rigid))

    def height(self, x: float, y: float, lifts_mm: Sequence[float], warmer_k: float) -> float:
        """Return the height at a place; -inf beside the plate.

        lifts_mm: the height of each of `supports`, springs unloaded. warmer_k: above room temperature.
        """
        spot = self._spots.get((x, y)) or self._spot(x, y)
        height = spot.still_mm + spot.per_k_mm * warmer_k
        for share, lift in zip(spot.by_support, lifts_mm, strict=True):
            height += share * lift
        return height

    def heights_at_supports(self, lifts_mm: Sequence[float], warmer_k: float) -> list[float]:
        """Return the plate's height at each support, on its rigid arm where it stands beside the plate."""
        at = self._at_supports @ (
            self._by_support @ np.asarray(lifts_mm) + self._still + self._warm * warmer_k
        )
        heights: list[float] = (at + self._grow_mm_per_k * warmer_k).tolist()
        return heights

    def _solve(self, bed: Bed, found: Found, stiffness_n_mm: Sequence[float]) -> None:
        material, thick_mm = material_named(bed.material), bed.thickness_mm or 3.0
        places = [(x - self._centre[0], y - self._centre[1]) for x, y in self.supports]
        sheet = respond(self._outline, material, thick_mm, places, stiffness_n_mm)
        self._at_supports = np.array([arm_row(self._outline, *at) for at in places])
        self._by_support = sheet.by_support
        self._still = sheet.by_weight + sheet.by_shape @ found.shape
        self._warm = sheet.by_shape @ _warm_shape(self._outline, material, thick_mm, found.bow_mm_per_k)
        self._grow_mm_per_k = material.expansion_per_k * thick_mm + SUPPORT_MM_PER_K

    def _spot(self, x: float, y: float) -> _Spot:
        u, v = x - self._centre[0], y - self._centre[1]
        if not self._outline.inside(u, v):
            return _Spot((0.0,) * len(self.supports), -inf, 0.0)
        here = row(self._outline, u, v)
        waves = sum(high * cos(kx * u + ky * v + phase) for kx, ky, phase, high in self._waves)
        spot = _Spot(
            tuple((here @ self._by_support).tolist()),
            float(here @ self._still) + waves,
            float(here @ self._warm) + self._grow_mm_per_k,
        )
        if len(self._spots) >= KEPT_SPOTS:
            self._spots.clear()
        self._spots[x, y] = spot
        return spot


def _warm_shape(outline: Outline, material: Material, thick_mm: float, bow_mm_per_k: float) -> Array:
    """Return the coefficients of the free shape that one kelvin above the room adds.

    The heater's side is the warmer by the heat that passes through, and so the longer: a free plate
    bends to a bowl with curvature alpha dT / h. Clamps and glue add what was drawn, rim against centre.
    """
    through_k = FILM_W_M2K * thick_mm * 1e-3 / material.conductivity_w_mk
    curvature = material.expansion_per_k * through_k / thick_mm
    shape = np.zeros(term(8, 0) + 1)
    for half_mm, at in ((outline.half_x_mm, term(2, 0)), (outline.half_y_mm, term(0, 2))):
        shape[at] = (curvature * half_mm**2 / 2.0 + bow_mm_per_k / 2.0) * 2.0 / 3.0
    return shape


def _outline(bed: Bed) -> tuple[Outline, XY]:
    """Return the outline and its centre in machine coordinates."""
    if bed.shape == "round":
        radius = (bed.diameter_mm or 0.0) / 2.0
        return Outline(radius, radius, round=True), bed.origin_mm
    width, depth = bed.size_mm or (0.0, 0.0)
    centre = (bed.origin_mm[0] + width / 2.0, bed.origin_mm[1] + depth / 2.0)
    return Outline(width / 2.0, depth / 2.0), centre


def _held_by_frame(outline: Outline, centre: XY, supports: Sequence[XY]) -> list[XY]:
    """Return the places where the frame must hold the plate too, so that it lies firm.

    A plate with no named support is held at its four corners, or at three places of a disc's rim.
    """
    rim = _rim(outline, centre)
    if not supports:
        return rim
    held: list[XY] = []
    while _firmness(outline, [*supports, *held]) < _LEVERAGE:
        held.append(max(rim, key=lambda at: _firmness(outline, [*supports, *held, at])))
    return held


def _rim(outline: Outline, centre: XY) -> list[XY]:
    if outline.round:
        angles = [2.0 * np.pi * nth / 3.0 - np.pi / 2.0 for nth in range(3)]
        around = [(outline.half_x_mm * cos(angle), outline.half_x_mm * sin(angle)) for angle in angles]
    else:
        around = [(sx * outline.half_x_mm, sy * outline.half_y_mm) for sy, sx in product((-1, 1), repeat=2)]
    return [(centre[0] + u, centre[1] + v) for u, v in around]


def _firmness(outline: Outline, supports: Sequence[XY]) -> float:
    """Return the weakest lever of a support set as a share of the plate's half size."""
    levers = np.ones((len(supports), 3))
    levers[:, 1:] = np.asarray(supports) / (outline.half_x_mm, outline.half_y_mm)
    levers[:, 1:] -= levers[:, 1:].mean(axis=0)
    weakest = np.linalg.svd(levers, compute_uv=False)
    return float(weakest[2]) if len(weakest) == 3 else float(weakest[-1]) * 1e-6
