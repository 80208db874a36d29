"""What an unattended recheck tells at its end: a few lines, or `tramwright-recheck/1` as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import msgspec

from profiles.machine import Machine
from wizard.commands.unattended import feels_the_nozzle
from wizard.facts import Facts, after
from wizard.formats.finding_json import finding_object
from wizard.instructions import finding_lines, mm, signed_mm
from wizard.requests import FollowGrid, HeightKept, MoveMotors, ReadHeight, SetHeight, Touched, TouchPoint

if TYPE_CHECKING:
    from drivers.errors import DriverError
    from wizard.journal.writing import Journal
    from wizard.requests import Outcome

FORMAT = "tramwright-recheck/1"


def as_json(profile: str, journal: Journal, outcome: Outcome, machine: Machine) -> str:
    """Return the result as one JSON object."""
    facts, finding = _facts(journal), outcome.finding
    return _encoded(
        {
            "format": FORMAT,
            "profile": profile,
            "simulated": facts.simulated,
            "verdict": finding.verdict if finding else "undecided",
            "proven": outcome.proven,
            "rounds": outcome.rounds,
            "worst_deviation_mm": finding.worst_deviation_mm if finding else None,
            "repeatability_mm": facts.touch_sd_mm,
            "repeatability_limit_mm": _limit_mm(machine),
            "probe_offset_mm": facts.probe_offset_mm,
            "feels_nozzle": feels_the_nozzle(machine),
            "touched_mm": _touched(journal),
            "stored": _stored(journal),
            "compared_with": journal.header.base.run if journal.header.base else None,
            "fault": None,
            "finding": finding_object(finding, finding_lines(finding, machine)) if finding else None,
        }
    )


def fault_json(profile: str, error: DriverError) -> str:
    """Return a fault as one JSON object."""
    fault = {"kind": type(error).__name__, "text": str(error)}
    return _encoded({"format": FORMAT, "profile": profile, "verdict": None, "proven": False, "fault": fault})


def told(journal: Journal, outcome: Outcome, machine: Machine) -> str:
    """Return the end in words."""
    facts, finding = _facts(journal), outcome.finding
    if finding is None:
        sd_mm = mm(facts.touch_sd_mm or 0.0)
        return (
            f"Not judged: touches of one place differ by a standard deviation of {sd_mm} mm, the limit is"
            f" {mm(_limit_mm(machine) or 0.0)} mm (ISO 5725-2, repeatability). Likely plastic on the tip:"
            " somebody has to clean it."
        )
    lines = (*finding_lines(finding, machine), *_for_which_nozzle(journal, machine))
    changed_mm = sum(_stored(journal)["height_changes_mm"])
    return "\n".join(
        (*lines, *((f"Nozzle height changed by {signed_mm(changed_mm)} mm.",) if changed_mm else ()))
    )


def _for_which_nozzle(journal: Journal, machine: Machine) -> tuple[str, ...]:
    """Say what a touch by something beside the nozzle cannot tell."""
    base = journal.header.base
    if feels_the_nozzle(machine) or base is None:
        return ()
    named = f" ({base.nozzle})" if base.nozzle else ""
    return (
        f"This holds for the nozzle of the run of {base.at[:10]}{named}: a touch does not feel another one.",
    )


def _facts(journal: Journal) -> Facts:
    facts = Facts(journal.header.profile)
    for step in journal.record.steps:
        facts = after(facts, step.request, step.answer)
    return facts


def _touched(journal: Journal) -> dict[str, list[float]]:
    """Return the commanded Z of each contact in the last pass, by point."""
    touches = [
        (step.request, step.answer)
        for step in journal.record.steps
        if isinstance(step.request, TouchPoint) and isinstance(step.answer, Touched)
    ]
    last = max((request.round for request, _ in touches), default=0)
    return {request.point: list(answer.z_mm) for request, answer in touches if request.round == last}


def _stored(journal: Journal) -> dict[str, Any]:
    """Return what was changed in the machine: heights, what it keeps, motors, whether a grid is followed."""
    requests = [step.request for step in journal.record.steps]
    kept = [
        step.answer.offset_mm
        for step in journal.record.steps
        if isinstance(step.request, ReadHeight) and isinstance(step.answer, HeightKept)
    ]
    return {
        "height_changes_mm": [r.change_mm for r in requests if isinstance(r, SetHeight)],
        "height_kept_mm": kept[-1] if kept else None,
        "motor_turns": [r.turns for r in requests if isinstance(r, MoveMotors)],
        "compensation": any(isinstance(r, FollowGrid) for r in requests),
    }


def _limit_mm(machine: Machine) -> float | None:
    return machine.probe.repeatability_limit_mm if machine.probe else None


def _encoded(value: dict[str, Any]) -> str:
    return msgspec.json.format(msgspec.json.encode(value)).decode()
