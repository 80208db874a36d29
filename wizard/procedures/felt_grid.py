"""A machine that follows a grid filled by gauge: the nozzle height first, over the middle, then the grid.

With the height about right the places of the grid are in the gauge's range at once. One pass fills the grid;
the pass that proves it reads other places.
"""

from __future__ import annotations

from wizard.procedures.approach import Visit, known
from wizard.procedures.compensate import compensate, way_to_compensate
from wizard.procedures.job import Job, Steps
from wizard.procedures.middle import middle_point
from wizard.procedures.reading import read_pass, read_point
from wizard.procedures.safe_height import kept_free
from wizard.procedures.stored import store_offset
from wizard.requests import Lift
from wizard.rounds import Reading
from wizard.solver import solve

MOST_SETTINGS = 4
"""Each lowers the nozzle as far as the gauge has shown to be free: a millimetre or two take three."""

CLOSED_MM = 0.06
"""A bracket no wider than this was read by a gauge."""

NEAR_MM = 0.02
"""Once the middle's gap is so near the wanted one, the rest is left to the grid."""


def is_by_gauge(job: Job) -> bool:
    """Tell whether this job sets a stored height and fills a grid, both by gauge."""
    machine = job.machine
    part = machine.compensation
    alone = machine.probe is None and all(each.kind == "fixed" for each in machine.adjuster)
    stores = machine.height.by == "stored offset" and not job.facts.by_hand
    return alone and stores and part is not None and bool(part.check)


def fill_grid(job: Job) -> Steps[bool]:
    """Set the height, read the grid, offer to follow it. Returns whether the machine follows it now."""
    yield from _set_height(job)
    yield from read_pass(job, len(job.facts.rounds) + 1, "first")
    read = job.facts.rounds[-1].readings if job.facts.rounds else {}
    finding = kept_free(job.facts, solve(job.machine, job.facts.rounds))
    closed = all(_is_closed(read.get(point.name)) for point in job.machine.point)
    if not closed or way_to_compensate(job, finding, None) is None:
        return False
    return (yield from compensate(job, finding))


def _set_height(job: Job) -> Steps[None]:
    """Bring the gap in the middle to the wanted one, by readings there."""
    point = middle_point(job.machine)
    for _ in range(MOST_SETTINGS):
        visit = Visit(point, len(job.facts.rounds) + 1, 1, 1, "first")
        if not (yield from read_point(job, visit)):
            return
        read = known(job, visit)
        change_mm = _change_mm(job, read)
        if change_mm is None:
            return
        yield from job.ask(Lift())
        yield from store_offset(job, change_mm)
        if _is_closed(read):
            return


def _change_mm(job: Job, read: Reading) -> float | None:
    """Return how far to raise (+) the nozzle: no lower than is known to be free. None: it is right."""
    wanted_mm, low_mm, high_mm = job.machine.wanted_gap_mm, read.low_mm, read.high_mm
    if low_mm is not None and high_mm is not None and _is_closed(read):
        change_mm = wanted_mm - (low_mm + high_mm) / 2.0
        return None if abs(change_mm) < NEAR_MM else change_mm
    edge_mm = low_mm if low_mm is not None else high_mm
    return None if edge_mm is None else wanted_mm - edge_mm


def _is_closed(read: Reading | None) -> bool:
    """Tell whether a gauge has told the gap, and not only a thick card."""
    if read is None or read.low_mm is None or read.high_mm is None:
        return False
    return read.high_mm - read.low_mm <= CLOSED_MM
