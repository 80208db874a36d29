"""Whether the turns of a finding are worth a hand where they cannot bring it within tolerance. Pure."""

from __future__ import annotations

from profiles.machine import Machine
from wizard.solver.finding import Finding

LEAST_SHARE = 0.5
"""Share of the tolerance by which the largest deviation has to get better: common practice, no source."""


def is_worth_turning(finding: Finding, machine: Machine) -> bool:
    """Tell whether the turns still better the largest deviation, where no setting is good enough anyway.

    Other findings are worth their turns by the solver's word.
    """
    if finding.status != "not-by-adjusters" or not finding.points:
        return True
    now_mm = max(abs(point.deviation_mm) for point in finding.points.values())
    then_mm = max(abs(point.predicted_mm - machine.wanted_gap_mm) for point in finding.points.values())
    return now_mm - then_mm >= LEAST_SHARE * machine.first_layer.tolerance_mm
