"""Changing the nozzle height by the way that the profile names, where it is set apart from the tilt."""

from __future__ import annotations

from profiles.machine import Thread
from profiles.threads import mm_per_turn, raise_per_clockwise_turn_mm
from wizard.procedures.job import Job, Steps
from wizard.requests import ChangeHeightByMenu, SetHeight, Store, TurnEndstop
from wizard.solver.finding import Finding

LEAST_MM = 0.005
"""Smaller changes are below what a hand can read or set; they are not asked for."""


def is_wanted(finding: Finding) -> bool:
    """Tell whether the finding asks for another nozzle height."""
    change_mm = finding.height_change_mm
    return change_mm is not None and abs(change_mm) >= LEAST_MM


def change_height(job: Job, finding: Finding) -> Steps[None]:
    """Raise or lower the nozzle as the finding says. With bed adjusters there is nothing apart to set.

    Without a line a stored number is changed by the person, like any other menu entry.
    """
    change_mm = finding.height_change_mm
    if change_mm is None or not is_wanted(finding):
        return
    height = job.machine.height
    if height.by == "stored offset" and not job.facts.by_hand:
        yield from _store_offset(job, change_mm)
    elif height.by == "endstop screw" and height.screw is not None:
        yield from _turn_endstop(job, finding, height.screw, change_mm)
    elif height.by != "bed adjusters":
        yield from job.ask(ChangeHeightByMenu(change_mm, finding))


def _store_offset(job: Job, change_mm: float) -> Steps[None]:
    """Have the machine change its number, and keep it where the profile says how."""
    yield from job.ask(SetHeight(round(change_mm, 3)))
    if job.machine.height.store_command is not None:
        yield from job.ask(Store())


def _turn_endstop(job: Job, finding: Finding, screw: Thread, change_mm: float) -> Steps[None]:
    """Ask for whole steps of the screw; what one turn does is the profile's, clockwise raising if unknown.

    A screw that works the other way shows in the next readings.
    """
    per_turn_mm = raise_per_clockwise_turn_mm(screw) or mm_per_turn(screw)
    turns = round(change_mm / per_turn_mm / screw.step_turns) * screw.step_turns
    if turns:
        yield from job.ask(TurnEndstop(turns, turns * per_turn_mm, finding))
