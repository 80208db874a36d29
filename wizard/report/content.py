"""What a report says, apart from how it looks. Pure."""

from __future__ import annotations

import msgspec

from wizard.history.listing import when
from wizard.history.one import about
from wizard.instructions import finding_lines, mm, verdict_sentence
from wizard.instructions.figures import counted
from wizard.instructions.printing import triple
from wizard.instructions.rechecking import change_sentence
from wizard.instructions.warmth import closing_sentence, early_sentence
from wizard.records.run import Run, Whole
from wizard.report.rows import PointRow, changes_of, first_readings, learned_of, middles, only_read, rows_of
from wizard.requests import ShowChange, ShowResult
from wizard.solver.finding import Finding

RULE = (
    "Decision rule, ISO 14253-1: within where the deviation and its expanded uncertainty U = 2u together "
    "are not more than the tolerance; outside where the deviation less U is more; else undecided."
)
CAUTIONS = (
    "Nozzle and plate can be hot, and axes move without warning.",
    "The maker's manual and local rules come first.",
    "It holds for the temperatures, plate and nozzle named here; check again after a swap or a move.",
)
NOT_ENDED = "Not ended: not proven."
SIMULATED = "SIMULATED printer: this is no record of a real machine."


JOBS = {
    "level": "Levelling",
    "recheck": "Recheck",
    "survey": "Survey, nothing turned",
    "unattended": "Recheck by the machine alone",
    "import": "Readings brought in from a file",
}
"""What each procedure is called in a report."""


class Report(msgspec.Struct, frozen=True):
    """All that is said.

    job: what was done, and when. before, after: deviations by point, mm, for the pictures.
    unit: that of the points' figures. who: who made the report where, "" where it is not to be named.
    """

    title: str
    job: str
    simulated: bool
    about: tuple[str, ...]
    verdict: tuple[str, ...]
    points: tuple[PointRow, ...]
    changes: tuple[tuple[str, str], ...]
    learned: tuple[tuple[str, str], ...]
    before: dict[str, float]
    after: dict[str, float]
    tolerance_mm: float
    target_mm: float
    footer: str
    unit: str = "mm"
    who: str = ""


def report_of(whole: Whole, who: str = "") -> Report:
    """Return what is said of a run. who: who makes the report where, where that is to be named."""
    run, machine, finding = whole.run, whole.header.profile, whole.finding
    layer = machine.first_layer
    target_mm = machine.wanted_gap_mm
    first = first_readings(whole)
    return Report(
        title="Bed level and nozzle height",
        job=f"{JOBS.get(run.procedure, run.procedure)}, {_times(run)}",
        simulated=run.simulated,
        about=tuple(filter(None, _about(whole, target_mm))),
        verdict=_verdict(whole, finding),
        points=tuple(rows_of(finding, first, layer.tolerance_mm) if finding else only_read(first)),
        changes=tuple(changes_of(whole)),
        learned=tuple(learned_of(whole)),
        before=middles(first, target_mm),
        after={n: p.deviation_mm for n, p in finding.points.items()} if finding else {},
        tolerance_mm=layer.tolerance_mm,
        target_mm=target_mm,
        footer=f"Run {run.id}" + (f", tramwright {run.version}" if run.version else ""),
        who=who,
    )


def _times(run: Run) -> str:
    """Return from when to when it went; the day once where it is one."""
    begun, ended = when(run.created), when(run.ended)
    if begun == ended:
        return f"{begun} UTC"
    return f"{begun} to {ended[11:] if begun[:10] == ended[:10] else ended} UTC"


def _about(whole: Whole, target_mm: float) -> tuple[str, ...]:
    machine = whole.header.profile
    warmth = closing_sentence(machine), early_sentence(whole.facts)
    return (*about(whole), _wanted(whole, target_mm), *warmth)


def _wanted(whole: Whole, target_mm: float) -> str:
    machine = whole.header.profile
    return (
        f"Wanted: gap {mm(target_mm)} mm at Z {mm(machine.measuring_height_mm)} mm at "
        f"{counted(len(machine.point), 'point')}, "
        f"tolerance {mm(machine.first_layer.tolerance_mm)} mm either way."
    )


def _verdict(whole: Whole, finding: Finding | None) -> tuple[str, ...]:
    """Return what came of it, then how it was checked, then how a recheck found the plate."""
    shown = [s.request.change for s in whole.steps if isinstance(s.request, ShowChange)]
    found = tuple(f"As found: {change_sentence(change)}" for change in shown[:1])
    if finding is None:
        return ("No finding: the run was broken off before.", *found)
    status = {"proven": "Proven.", "not proven": "Not proven.", "not ended": NOT_ENDED}
    machine = whole.header.profile
    told: tuple[str, ...] = (verdict_sentence(finding, machine),)
    if finding.status != "level":
        told = finding_lines(finding, machine)
    return (status[whole.run.status], *told, *_checks(whole), *found)


def _checks(whole: Whole) -> tuple[str, ...]:
    """Return how it was checked, a line each, as far as the run came to an end."""
    shown = [step.request for step in whole.steps if isinstance(step.request, ShowResult)]
    last = shown[-1] if shown else None
    return triple(last.checks, last.rounds) if last and last.checks.gauge else ()
