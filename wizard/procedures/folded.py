"""Where there are no leaves: the paper folded into layers, for gaps that the single card cannot reach yet.

The nozzle may only come as low as is known to be free, and a single card that passes frees no more than
its own thickness. Two or four layers of it reach farther at one answer (folding is common practice).
"""

from __future__ import annotations

from math import inf
from typing import NamedTuple

from wizard.procedures.approach import KEEP_MM, Visit, go_to, known, lowest_mm
from wizard.procedures.job import Job, Steps
from wizard.requests import LookForDaylight, Seen

LAYERS = (2, 4, 6)
"""Folded once and twice, and both together; more layers spring back."""

OFF = 0.11
"""How far layers may be off, as a share of their thickness."""

FAR_MM = 0.03
"""A gap that lies so much beyond what the single card can be used for now is looked for with layers."""


class Layers(NamedTuple):
    """How thick to fold the card, and the height to try it at."""

    thick_mm: float
    z_mm: float


def layers_for(job: Job, visit: Visit, wish_mm: float) -> Layers | None:
    """Return how to look for a gap that the single card cannot be used for yet; None where it can, or where
    layers would tell nothing new.

    In a first pass either answer is to halve what is possible. Later on the layers are to pass, so that the
    card may follow.
    """
    card_mm = job.machine.gauge.card_mm
    if job.has_leaves or card_mm is None:
        return None
    down_mm = job.machine.measuring_height_mm - lowest_mm(job, visit)
    if wish_mm <= card_mm + down_mm + FAR_MM:
        return None
    thick = [layers * card_mm for layers in LAYERS]
    thick_mm = next((t for t in thick if wish_mm <= t + down_mm), thick[-1])
    if visit.phase != "first":
        wish_mm -= card_mm - KEEP_MM - OFF * thick_mm - FAR_MM / 2.0
    tested_mm = min(wish_mm, thick_mm + down_mm)
    so_far = known(job, visit)
    low_mm, high_mm = (
        (-inf if so_far.low_mm is None else so_far.low_mm),
        (inf if so_far.high_mm is None else so_far.high_mm),
    )
    if not low_mm + FAR_MM < tested_mm - OFF * thick_mm or not tested_mm + OFF * thick_mm < high_mm - FAR_MM:
        return None
    return Layers(thick_mm, job.machine.measuring_height_mm + thick_mm - tested_mm)


def by_layers(job: Job, visit: Visit, layers: Layers) -> Steps[bool]:
    """See whether the layers pass. Returns False where the point was left out."""
    yield from go_to(job, visit, layers.z_mm)
    stands_mm = job.facts.z_mm
    assert stands_mm is not None
    answer = yield from job.ask(LookForDaylight(visit.point, stands_mm, layers.thick_mm, visit.round))
    return isinstance(answer, Seen)
