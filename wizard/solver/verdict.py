"""Within, outside or undecided, by the decision rule of ISO 14253-1 with U = 2u."""

from __future__ import annotations

import numpy as np

from wizard.solver import priors
from wizard.solver.finding import Verdict
from wizard.solver.leastsquares import Array


def verdict(deviations: Array, u: Array, tolerance_mm: float) -> Verdict:
    """Return the verdict over all points; deviations and standard uncertainties u in mm, (n,)."""
    if len(deviations) == 0:
        return "undecided"
    expanded = priors.COVERAGE * u
    if np.all(np.abs(deviations) + expanded <= tolerance_mm):
        return "within"
    if np.any(np.abs(deviations) - expanded > tolerance_mm):
        return "outside"
    return "undecided"
