"""Software compensation: the grid is filled by what was read or touched, switched on, verified elsewhere.

By gauge the readings of the job are enough, where each place of the grid is one of the profile's points.
A machine that touches by itself touches the grid, or does all of it by its own one command.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from profiles.grid import GridValue, filled, is_felt, nodes
from profiles.machine import Machine
from wizard.procedures.job import Job, Steps
from wizard.procedures.touch_worth import Touching
from wizard.requests import (
    COMPENSATE,
    LEAVE_IT,
    Choose,
    Chosen,
    EnterGrid,
    FollowAgain,
    FollowGrid,
    Home,
    LeaveGrid,
    Lift,
    SetGrid,
    Touched,
    TouchGrid,
)
from wizard.solver import expect
from wizard.solver.finding import Finding

Way = Literal["gauge", "touch", "machine"]


def way_to_compensate(job: Job, finding: Finding, by: Touching | None) -> Way | None:
    """Return how this machine's compensation can be filled, and verified; None where it cannot.

    Where the plate can be turned level, that comes first: only what is left is worth following.
    """
    part = job.machine.compensation
    if part is None or job.facts.following:
        return None
    if by is None:
        seen = {name for one in job.facts.rounds for name in one.readings}
        whole = bool(part.check) and is_felt(job.machine) and seen >= {p.name for p in job.machine.point}
        return "gauge" if whole else None
    if finding.verdict == "within" or part.activate_command is None:
        return None
    if part.set_command is None:
        return "machine"
    return "touch" if part.check else None


def compensate(job: Job, finding: Finding, by: Touching | None = None) -> Steps[bool]:
    """Offer it; fill the grid and switch it on where it is wanted. Returns whether that was done."""
    way = way_to_compensate(job, finding, by)
    if way is None:
        return False
    yield from job.ask(Lift())
    if (yield from job.ask(Choose("compensate", (COMPENSATE, LEAVE_IT), finding))) != Chosen(COMPENSATE):
        return False
    yield from follow(job, way, by)
    return True


def follow(job: Job, way: Way, by: Touching | None) -> Steps[None]:
    """Fill the grid and switch it on; the nozzle is lifted."""
    if way == "machine":
        yield from job.ask(FollowGrid(()))
    else:
        values = (yield from _touched(job, by)) if way == "touch" and by else grid_of(job)
        yield from _set_and_follow(job, values)
    yield from job.ask(Home())


def _set_and_follow(job: Job, values: tuple[GridValue, ...]) -> Steps[None]:
    if by_menu(job.machine, by_hand=job.facts.by_hand):
        yield from job.ask(EnterGrid(values))
    else:
        yield from job.ask(SetGrid(values))
        yield from job.ask(FollowGrid(values))


def bare(job: Job) -> Steps[None]:
    """Have the machine follow no grid while the plate is read, where it has a command for that."""
    part = job.machine.compensation
    if part is not None and part.deactivate_command is not None and not job.facts.by_hand:
        yield from job.ask(LeaveGrid())


def follow_again(job: Job, values: tuple[GridValue, ...]) -> Steps[None]:
    """Have the machine follow a grid that was proven before, where it has commands for that."""
    if not by_menu(job.machine, by_hand=job.facts.by_hand) or _by_machine(job):
        yield from job.ask(FollowAgain(values))


def _by_machine(job: Job) -> bool:
    """Tell whether the machine fills and follows its grid by one command."""
    part = job.machine.compensation
    has_one = part is not None and part.activate_command is not None and part.set_command is None
    return has_one and not job.facts.by_hand


def by_menu(machine: Machine, *, by_hand: bool) -> bool:
    """Tell whether the numbers are typed into the machine's own menu, for want of commands or of a line."""
    part = machine.compensation
    return by_hand or part is None or part.set_command is None or part.activate_command is None


def grid_of(job: Job) -> tuple[GridValue, ...]:
    """Return the numbers that make every gap of the grid the wanted one, by the readings of the job."""
    gaps_mm = {name: gap_mm for name, (gap_mm, _) in expect(job.machine, job.facts.rounds).items()}
    return filled(job.machine, gaps_mm, job.machine.wanted_gap_mm)


def _touched(job: Job, by: Touching) -> Steps[tuple[GridValue, ...]]:
    """Touch every place of the grid and return the numbers that make its gaps the wanted ones."""
    machine, places = job.machine, nodes(job.machine)
    answer = yield from job.ask(TouchGrid(places))
    assert isinstance(answer, Touched)
    raise_mm = machine.wanted_gap_mm - machine.measuring_height_mm - by.offset_mm
    return tuple(
        msgspec.structs.replace(place, offset_mm=round(raise_mm + z_mm, 3))
        for place, z_mm in zip(places, answer.z_mm, strict=True)
    )
