"""The check print: lay it down, judge its pads, correct what they tell, until one proves it or it is left.

A print that was cut off is not continued: the request is carried out anew, on a cleared plate.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from drivers.errors import MoveRefused
from wizard.facts import Facts
from wizard.facts.printed import BY_PRINT
from wizard.printing.judging import closing_mm
from wizard.printing.plan import NoPrint, plan, temperatures_c
from wizard.procedures.compensate import follow_again
from wizard.procedures.height import change_height, height_first, is_wanted
from wizard.procedures.job import Job, Steps
from wizard.procedures.moving import by_motors, make_turns
from wizard.procedures.safe_height import kept_free
from wizard.procedures.sheets import ask_sheet
from wizard.requests import (
    BY_LOOK,
    CALIPER,
    CLOSE,
    CORRECT,
    MICROMETER,
    PRINT_AGAIN,
    AskFilament,
    Checks,
    Choose,
    Chosen,
    Confirm,
    CoolDown,
    Filament,
    Home,
    JudgePad,
    PrintLayer,
    ShowPrint,
    Skipped,
    Soak,
    Warm,
)
from wizard.solver import solve
from wizard.solver.finding import Finding

How = Literal["caliper", "micrometer", "look"]
HOWS: tuple[How, ...] = (CALIPER, MICROMETER, BY_LOOK)
MOST_PRINTS = 4
MOST_REPEATS = 2
FREE_MM = 0.02
"""So much must surely be free under the nozzle at every point before it goes over the plate that low."""


class Printed(msgspec.Struct, frozen=True):
    """How the prints ended: the last finding, what was done to prove it, whether it is proven."""

    finding: Finding
    checks: Checks
    proven: bool


def checks_of(facts: Facts, *, proven: bool) -> Checks:
    """Return what was done before any print: how many points were read, whether a whole pass proved it."""
    read = {name for each in facts.rounds for name, one in each.readings.items() if one.how not in BY_PRINT}
    return Checks(gauge=len(read), passed=proven)


def can_print(facts: Facts, finding: Finding) -> bool:
    """Tell whether a check print can be made here: known how, room for it, and the nozzle surely free."""
    machine = facts.machine
    if facts.by_hand or machine.print is None:
        return False
    try:
        bed_c, nozzle_c = temperatures_c(machine)
        points = {pad.point for pad in plan(machine, bed_c, nozzle_c).layout.pads}
    except (NoPrint, MoveRefused):
        return False
    lower_mm = machine.measuring_height_mm - machine.first_layer.height_mm
    lower_mm += closing_mm(machine, bed_c, nozzle_c)
    known = finding.points
    return points <= set(known) and all(
        point.gap_mm - 2.0 * point.u_mm - lower_mm >= FREE_MM for point in known.values()
    )


def check_print(job: Job, before: Finding, *, proven: bool) -> Steps[Printed]:
    """Print, judge and correct; returns what came of it."""
    now = Printed(before, checks_of(job.facts, proven=proven), proven)
    yield from job.ask(Confirm("print-cautions"))
    bed_c, nozzle_c = yield from _filament(job)
    for left in reversed(range(MOST_PRINTS)):
        yield from _lay_down(job, bed_c, nozzle_c)
        now = yield from _judge(job, now)
        answer = yield from job.ask(ShowPrint(now.finding, now.checks.pads, _options(now.finding, left)))
        if answer == Chosen(CORRECT):
            now = yield from _correct(job, now)
        elif answer != Chosen(PRINT_AGAIN):
            break
    return now


def _options(finding: Finding, left: int) -> tuple[str, ...]:
    """Return the ways on, the likeliest first."""
    can_turn = finding.verdict != "within" and (bool(finding.turns) or is_wanted(finding))
    if not left:
        return (CLOSE,)
    return (CORRECT, PRINT_AGAIN, CLOSE) if can_turn else (CLOSE, PRINT_AGAIN)


def _filament(job: Job) -> Steps[tuple[float, float]]:
    """Ask for the filament's temperatures; those of the profile are offered."""
    answer = yield from job.ask(AskFilament(*temperatures_c(job.machine)))
    assert isinstance(answer, Filament)
    return answer.bed_c, answer.nozzle_c


def _lay_down(job: Job, bed_c: float, nozzle_c: float) -> Steps[None]:
    """Heat, home, print, and cool down, so that the pads come off and are measured cold."""
    yield from job.ask(Confirm("print-ready"))
    yield from job.ask(Warm(bed_c, nozzle_c))
    if bed_c > 0.0 and job.machine.heat.soak_min > 0.0:
        yield from job.ask(Soak(job.machine.heat.soak_min))
    yield from job.ask(Home())
    if job.facts.following and not job.facts.switched_on:  # a restart has switched it off
        yield from follow_again(job, job.facts.grid)
    yield from job.ask(PrintLayer(bed_c, nozzle_c))
    yield from job.ask(CoolDown())
    yield from job.ask(Confirm("pads-cool"))


def _judge(job: Job, before: Printed) -> Steps[Printed]:
    """Have each pad judged; what they tell is solved together with all that was known."""
    tool = yield from job.ask(Choose("pads", HOWS))
    how: How = next(each for each in HOWS if tool == Chosen(each))
    number = len(job.facts.rounds) + 1
    points = [pad.point for pad in plan(job.machine, *(job.facts.print_c or (0.0, 0.0))).layout.pads]
    judged = 0
    for nth, point in enumerate(points, 1):
        answer = yield from job.ask(JudgePad(point, how, number, nth, len(points)))
        judged += not isinstance(answer, Skipped)
    if not judged:
        return before
    finding = yield from _surer(job, how, number)
    checks = msgspec.structs.replace(before.checks, printed=finding.verdict, pads=judged)
    stands = before.proven and not before.checks.changed and finding.verdict != "outside"
    return Printed(finding, checks, stands or (finding.verdict == "within" and judged == len(points)))


def _surer(job: Job, how: How, number: int) -> Steps[Finding]:
    """Have pads measured once more that alone keep it undecided: that costs less than another print."""
    finding = kept_free(job.facts, solve(job.machine, job.facts.rounds))
    for again in range(1, MOST_REPEATS + 1):
        unsure = [] if how == BY_LOOK else _unsure(job, finding)
        for nth, point in enumerate(unsure, 1):
            yield from job.ask(JudgePad(point, how, number, nth, len(unsure), again))
        if not unsure:
            break
        finding = kept_free(job.facts, solve(job.machine, job.facts.rounds))
    return finding


def _unsure(job: Job, finding: Finding) -> list[str]:
    """Return the measured points that may be within or not, where none is surely outside."""
    if finding.verdict != "undecided":
        return []
    tolerance_mm = job.machine.first_layer.tolerance_mm
    return [
        name
        for name, reading in job.facts.rounds[-1].readings.items()
        if (point := finding.points.get(name)) is not None
        and reading.high_mm is not None
        and reading.low_mm is not None
        and abs(point.deviation_mm) + 2.0 * point.u_mm > tolerance_mm
    ]


def _correct(job: Job, now: Printed) -> Steps[Printed]:
    """Have turns made and the height changed, as the print tells. The plate is cold, the nozzle lifted."""
    finding, number = now.finding, len(job.facts.rounds)
    if (yield from ask_sheet(job, finding)):
        finding = kept_free(job.facts, solve(job.machine, job.facts.rounds))
    if finding.turns and not height_first(job, finding):
        if by_motors(job):
            yield from job.ask(Confirm("hands-clear"))
            yield from job.ask(Home())
        yield from make_turns(job, finding, number)
    yield from change_height(job, finding)
    checks = msgspec.structs.replace(now.checks, changed=True)
    return Printed(finding, checks, proven=False)
