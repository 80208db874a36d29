"""Changing the nozzle height by the way that the profile names, where it is set apart from the tilt."""

from __future__ import annotations

from wizard.procedures.endstop import screw_of, turn_endstop
from wizard.procedures.job import Job, Steps
from wizard.procedures.stored import store_offset
from wizard.requests import ChangeHeightByMenu
from wizard.solver.finding import Finding

LEAST_MM = 0.005
"""Smaller changes are below what a hand can read or set; they are not asked for."""


def is_wanted(finding: Finding) -> bool:
    """Tell whether the finding asks for another nozzle height."""
    change_mm = finding.height_change_mm
    return change_mm is not None and abs(change_mm) >= LEAST_MM


def height_first(job: Job, finding: Finding) -> bool:
    """Tell whether the height alone is to be changed now.

    While the gaps are beyond the gauge the tilt is only guessed, and sheets of shim are not moved on a guess.
    """
    return finding.coarse and is_wanted(finding) and screw_of(job.machine) is not None


def change_height(job: Job, finding: Finding) -> Steps[None]:
    """Raise or lower the nozzle as the finding says. With bed adjusters there is nothing apart to set.

    Without a line a stored number is changed by the person, like any other menu entry.
    """
    change_mm = finding.height_change_mm
    if change_mm is None or not is_wanted(finding):
        return
    height = job.machine.height
    if height.by == "stored offset" and not job.facts.by_hand:
        yield from store_offset(job, change_mm)
    elif (screw := screw_of(job.machine)) is not None:
        yield from turn_endstop(job, finding, screw)
    elif height.by != "bed adjusters":
        yield from job.ask(ChangeHeightByMenu(change_mm, finding))
