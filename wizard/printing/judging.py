"""What a pad tells of the gap it was printed by: a reading with its uncertainty. Pure.

A pressed pad is as thick as the gap. Thicker than a free strand it cannot be: then it only tells that the
gap is at least so wide. A look tells how full the gap was; the edges between two looks overlap, as eyes
differ (shares of the wanted gap: conservation of volume, and what an eye can tell apart: no source).
"""

from __future__ import annotations

from math import sqrt

from profiles import expansion
from profiles.machine import Machine
from wizard.printing.extrusion import strand_mm
from wizard.rounds import How, Reading

TOOL_U_MM: dict[How, float] = {"caliper": 0.02, "micrometer": 0.005}
"""Standard uncertainty of one thickness: a caliper's last digits and its jaws; a micrometer's."""

PRESSED = 0.9
"""A pad thicker than this share of a free strand was hardly pressed."""

LOOK_SHARES: dict[int, tuple[float | None, float | None]] = {
    1: (1.5, None),
    2: (1.1, 1.75),
    3: (0.78, 1.18),
    4: (0.42, 0.85),
    5: (None, 0.5),
}
"""From which to which share of the wanted gap a pad looks so; None: open."""

UNKNOWN_GROWTH_U_MM = 0.05
"""How much a nozzle grows by heat where the profile does not say: some 20 mm of metal by 200 K, no source."""

GROWTH_U = 0.15
"""Relative uncertainty of a growth that is computed."""


def by_thickness(machine: Machine, thick_mm: float, how: How) -> Reading:
    """Return what a thickness tells of the gap at layer height while printing."""
    assert machine.print is not None
    half_mm = sqrt(3.0) * TOOL_U_MM[how]  # a bracket of this half width has that standard uncertainty
    most_mm = PRESSED * strand_mm(machine.print, machine.first_layer)
    high_mm = thick_mm + half_mm if thick_mm < most_mm else None
    return Reading(min(thick_mm, most_mm) - half_mm, high_mm, how)


def averaged(one: Reading, other: Reading) -> Reading | None:
    """Return what two measurements of one thickness tell together; None where a side of one is open.

    They are independent, so that their means count by their weights (JCGM 100, 4.2.3 and 5.1.2).
    """
    sides = [(each.low_mm, each.high_mm) for each in (one, other)]
    closed = [(low, high) for low, high in sides if low is not None and high is not None]
    if len(closed) < 2:
        return None
    weights = [(high - low) ** -2.0 for low, high in closed]
    middles = [(low + high) / 2.0 for low, high in closed]
    mean_mm = sum(w * m for w, m in zip(weights, middles, strict=True)) / sum(weights)
    half_mm = sum(weights) ** -0.5 / 2.0
    return Reading(mean_mm - half_mm, mean_mm + half_mm, other.how)


def by_look(machine: Machine, look: int) -> Reading:
    """Return what a look tells of the gap at layer height while printing."""
    low, high = LOOK_SHARES[look]
    gap_mm = machine.first_layer.gap_mm
    return Reading(None if low is None else low * gap_mm, None if high is None else high * gap_mm, "look")


def as_measured(machine: Machine, reading: Reading, bed_c: float, nozzle_c: float) -> Reading:
    """Return a reading made while printing as one at measuring height and temperatures."""
    up_mm = machine.measuring_height_mm - machine.first_layer.height_mm
    return reading.shifted(up_mm + closing_mm(machine, bed_c, nozzle_c))


def closing_mm(machine: Machine, bed_c: float, nozzle_c: float) -> float:
    """Return how much gaps close from measuring to these temperatures, as far as the profile tells."""
    return _nozzle_mm(machine, nozzle_c) + _plate_mm(machine, bed_c)


def closing_u_mm(machine: Machine, bed_c: float, nozzle_c: float) -> float:
    """Return the standard uncertainty of that."""
    known_mm = GROWTH_U * abs(closing_mm(machine, bed_c, nozzle_c))
    same = nozzle_c == machine.heat.nozzle_c
    return known_mm if same or machine.heat.hot_length_mm else sqrt(known_mm**2 + UNKNOWN_GROWTH_U_MM**2)


def _nozzle_mm(machine: Machine, nozzle_c: float) -> float:
    heat = machine.heat
    return expansion.grown_mm(heat.hot_length_mm, heat.hot_expansion_ppm_per_k, heat.nozzle_c, nozzle_c)


def _plate_mm(machine: Machine, bed_c: float) -> float:
    ppm = expansion.plate_ppm_per_k(machine.bed.material)
    if ppm is None:
        return 0.0
    return expansion.grown_mm(machine.bed.thickness_mm or 0.0, ppm, machine.heat.bed_c, bed_c)
