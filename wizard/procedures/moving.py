"""The turns that a finding asks for: made by a person, or by the motors that carry the plate."""

from __future__ import annotations

from wizard.procedures.job import Job, Steps
from wizard.requests import Confirm, Home, MoveMotors, Turn, Turned
from wizard.solver.finding import Finding


def by_motors(job: Job) -> bool:
    """Tell whether every adjuster that can move is a motor that the machine moves by a command."""
    movable = [adjuster for adjuster in job.machine.adjuster if adjuster.kind != "fixed"]
    return bool(movable) and not job.facts.by_hand and all(each.move_command for each in movable)


def make_turns(job: Job, finding: Finding, number: int) -> Steps[bool]:
    """Have the turns made; False where the person refused. After motors have moved the machine homes anew.

    How often and how far they move is bounded by the rounds of a job, by the travel that the solver counts,
    and once more by the line's end of the safety envelope.
    """
    if not by_motors(job):
        answer = yield from job.ask(Turn(finding.turns, number, finding.coarse, finding))
        return isinstance(answer, Turned)
    if not job.told_of_motors:
        job.told_of_motors = True
        yield from job.ask(Confirm("motors-next", finding))
    yield from job.ask(MoveMotors(finding.turns, number, finding))
    if job.touching is None:  # a pass of touches begins with it
        yield from job.ask(Home())
    return True
