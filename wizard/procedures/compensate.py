"""Software compensation from gaps read by gauge: the grid is filled, switched on, verified elsewhere.

What the job has read of the grid's places, in the shortest order, is enough to fill it.
"""

from __future__ import annotations

from profiles.grid import GridValue, filled, is_felt
from profiles.machine import Machine
from wizard.procedures.job import Job, Steps
from wizard.requests import COMPENSATE, LEAVE_IT, Choose, Chosen, EnterGrid, FollowGrid, Home, Lift, SetGrid
from wizard.solver import expect
from wizard.solver.finding import Finding


def can_compensate(job: Job) -> bool:
    """Tell whether this machine has a compensation that a gauge can fill, and points to verify it by."""
    part = job.machine.compensation
    if part is None or job.facts.following or not part.check or not is_felt(job.machine):
        return False
    seen = {name for one in job.facts.rounds for name in one.readings}
    return all(point.name in seen for point in job.machine.point)


def compensate(job: Job, finding: Finding) -> Steps[bool]:
    """Offer it; fill the grid and switch it on where it is wanted. Returns whether that was done."""
    if not can_compensate(job):
        return False
    yield from job.ask(Lift())
    if (yield from job.ask(Choose("compensate", (COMPENSATE, LEAVE_IT), finding))) != Chosen(COMPENSATE):
        return False
    values = grid_of(job)
    if by_menu(job.machine, by_hand=job.facts.by_hand):
        yield from job.ask(EnterGrid(values))
    else:
        yield from job.ask(SetGrid(values))
        yield from job.ask(FollowGrid(values))
    yield from job.ask(Home())
    return True


def by_menu(machine: Machine, *, by_hand: bool) -> bool:
    """Tell whether the numbers are typed into the machine's own menu, for want of commands or of a line."""
    part = machine.compensation
    return by_hand or part is None or part.set_command is None or part.activate_command is None


def grid_of(job: Job) -> tuple[GridValue, ...]:
    """Return the numbers that make every gap of the grid the wanted one."""
    machine = job.machine
    gaps_mm = {name: gap_mm for name, (gap_mm, _) in expect(machine, job.facts.rounds).items()}
    return filled(machine, gaps_mm, machine.wanted_gap_mm)
