"""Which point to read next, and with which leaf to start."""

from __future__ import annotations

import numpy as np

from profiles.machine import Gauge
from wizard.solver import priors
from wizard.solver.estimate import Known
from wizard.solver.finding import Ask


def questions(known: Known, gauge: Gauge) -> tuple[Ask, ...]:
    """Return the points whose reading would decide something, the most useful first.

    A point counts by how far its interval reaches beyond the tolerance, one that has not been read
    since the plate was last moved before one that has.
    """
    layout, state = known.state.layout, known.state
    reach = np.abs(state.gaps - layout.target_mm) + priors.COVERAGE * state.u - layout.tolerance_mm
    order = sorted(range(len(reach)), key=lambda i: (i in known.seen, -round(float(reach[i]), 4), i))
    return tuple(
        Ask(layout.points[i], float(state.gaps[i]), float(state.u[i]), _leaf(gauge, float(state.gaps[i])))
        for i in order
        if reach[i] > 0.0
    )


def _leaf(gauge: Gauge, gap_mm: float) -> float | None:
    """Return the thickest leaf that should still slide, the thinnest where none should."""
    leaves = [leaf for leaf in gauge.leaves_mm if np.isfinite(leaf)]
    if not leaves:
        return None
    return max((leaf for leaf in leaves if leaf <= gap_mm), default=min(leaves))
