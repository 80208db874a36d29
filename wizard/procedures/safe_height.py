"""A nozzle is never lowered by more than what is known to be free under it, whatever the best guess says."""

from __future__ import annotations

import msgspec

from wizard.facts import Facts
from wizard.procedures.approach import KEEP_MM
from wizard.solver.finding import Finding


def kept_free(facts: Facts, finding: Finding) -> Finding:
    """Return the finding with its lowering of the nozzle cut to what readings have shown to be free.

    Open brackets give a best guess that may lie far below what a gauge has passed under. A point counts
    by the low side of its reading, moved by what the proposed turns do there. Raising is left as it is;
    where no reading tells anything, nothing is lowered.
    """
    change_mm = finding.height_change_mm
    if change_mm is None or change_mm >= 0.0:
        return finding
    left_mm = min(_left_free_mm(facts, finding), default=change_mm)
    safe_mm = min(0.0, change_mm + max(0.0, KEEP_MM - left_mm))
    return msgspec.structs.replace(finding, height_change_mm=safe_mm)


def _left_free_mm(facts: Facts, finding: Finding) -> list[float]:
    """Return, for each point that was read, the least gap that is left after turns and height change."""
    return [
        reading.low_mm + foretold.predicted_mm - foretold.gap_mm
        for name, reading in facts.readings.items()
        if reading.low_mm is not None and (foretold := finding.points.get(name)) is not None
    ]
