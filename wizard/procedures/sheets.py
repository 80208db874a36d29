"""Shims are counted in whole sheets, so the thickness of one is asked before the first is told."""

from __future__ import annotations

from profiles.threads import mm_per_turn
from wizard.procedures.job import Job, Steps
from wizard.requests import AskSheet
from wizard.solver.finding import Finding


def ask_sheet(job: Job, finding: Finding) -> Steps[bool]:
    """Ask for the thickness of a sheet where shims are to be changed; True where it was asked just now."""
    shims = [a for a in job.machine.adjuster if a.kind == "shim" and a.name in finding.turns]
    if not shims or finding.coarse or job.facts.sheet_mm is not None:
        return False
    yield from job.ask(AskSheet(mm_per_turn(shims[0])))
    return True
