"""What warmth does to a gap, in words: what closes until printing, how a plate bows, what was early. Pure."""

from __future__ import annotations

from profiles.expansion import bowed_mm, plate_ppm_per_k
from profiles.machine import Bed, Machine
from wizard.facts import Facts
from wizard.instructions.figures import counted, mm

LEAST_MM = 0.0005
"""What closes by less than this is not worth a word."""


def closing_sentence(machine: Machine) -> str:
    """Return by how much a gap changes until printing and what is therefore wanted now; "" where nothing."""
    if abs(machine.closing_mm) < LEAST_MM:
        return ""
    closes = f"{'closes' if machine.closing_mm > 0 else 'opens'} by {mm(abs(machine.closing_mm))} mm"
    grown = f"nozzle {_um(machine.nozzle_growth_mm)}, plate {_um(machine.plate_growth_mm)}"
    return f"A gap {closes} until it prints ({grown}): wanted now {mm(machine.wanted_gap_mm)} mm."


def _um(length_mm: float) -> str:
    """Return a small length in mm with three decimals."""
    return f"{round(length_mm, 3) + 0.0:.3f}"


def bow_sentence(bed: Bed) -> str:
    """Return how a kelvin between its faces bends this plate; "" where thickness or material is not known."""
    ppm, across_mm = plate_ppm_per_k(bed.material), bed.diameter_mm or max(bed.size_mm or (0.0,))
    if ppm is None or not bed.thickness_mm or not across_mm:
        return ""
    edge_mm = bowed_mm(across_mm, bed.thickness_mm, ppm, 1.0)
    if bed.shape == "round":
        return f"Warmer below it bows: each kelvin between its faces lifts the rim by {mm(edge_mm)} mm."
    return (
        "Warmer below it bows: each kelvin between its faces lifts the middle of an edge by "
        f"{mm(edge_mm)} mm, its farthest places by {mm(farthest_mm(bed, ppm))} mm."
    )


def farthest_mm(bed: Bed, ppm: float) -> float:
    """Return by how much a kelvin lifts the places of a rectangular plate farthest from its centre, mm."""
    return sum(bowed_mm(across_mm, bed.thickness_mm or 1.0, ppm, 1.0) for across_mm in bed.size_mm or ())


def early_mark(facts: Facts) -> str:
    """Return what marks a reading that is taken now although the soak was cut short; else ""."""
    return ", before the soak's end" if facts.soak_cut else ""


def early_sentence(facts: Facts) -> str:
    """Return how many points rest on readings before the soak's end; "" where none."""
    early = early_points(facts)
    if not early:
        return ""
    told = counted(len(early), "point")
    return f"Soak cut short: {told} read before its end; the plate may still move. Check again once it rests."


def early_points(facts: Facts) -> tuple[str, ...]:
    """Return the points whose newest reading was taken although the soak was cut short."""
    newest = {name: reading for one in facts.rounds for name, reading in one.readings.items()}
    return tuple(name for name, reading in newest.items() if reading.early)
