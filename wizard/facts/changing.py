"""What follows from turns and from changes of the nozzle height."""

from __future__ import annotations

import math

from wizard.facts.fold import fold
from wizard.facts.known import Facts, away, changed
from wizard.requests import (
    AS_SUSPECTED,
    AnyAnswer,
    AskSheet,
    ChangeHeightByMenu,
    Choose,
    Chosen,
    HeightChanged,
    MoveMotors,
    SetHeight,
    Thickness,
    Turn,
    Turned,
    TurnEndstop,
)
from wizard.solver.finding import Finding

REALLY_TURNED = {"turned-other-way": -1.0, "not-turned": 0.0}
"""What a suspected turn really was, as a multiple of the turn that was reported."""


@fold.register
def _(request: Choose, answer: AnyAnswer, facts: Facts) -> Facts:
    if not isinstance(answer, Chosen):
        return facts
    if request.topic == "gauge":
        return changed(facts, gauge=answer.option)
    if request.topic == "suspicion" and answer.option == AS_SUSPECTED:
        return _as_suspected(facts, request.finding)
    return facts


def _as_suspected(facts: Facts, finding: Finding | None) -> Facts:
    """Correct the newest turns of the suspected adjuster (none named: of all) by what the person says."""
    story = finding.suspicion if finding else None
    if story is None or story.kind not in REALLY_TURNED:
        return facts
    for i in reversed(range(len(facts.rounds))):
        turned = facts.rounds[i].turned
        names = [name for name, turns in turned.items() if turns and story.adjuster in (name, None)]
        if names:
            really = {name: REALLY_TURNED[story.kind] * turned[name] for name in names}
            mended = changed(facts.rounds[i], turned={**turned, **really})
            return changed(facts, rounds=(*facts.rounds[:i], mended, *facts.rounds[i + 1 :]))
    return facts


@fold.register
def _(request: MoveMotors, answer: AnyAnswer, facts: Facts) -> Facts:
    return turned_by(away(facts), answer.turns) if isinstance(answer, Turned) else facts


@fold.register
def _(request: Turn, answer: AnyAnswer, facts: Facts) -> Facts:
    return turned_by(facts, answer.turns) if isinstance(answer, Turned) else facts


def turned_by(facts: Facts, turns: dict[str, float]) -> Facts:
    """Return the facts with turns made after the running round."""
    if not facts.rounds:
        return facts
    last = facts.rounds[-1]
    names = {*last.turned, *turns}
    total = {name: last.turned.get(name, 0.0) + turns.get(name, 0.0) for name in sorted(names)}
    return changed(facts, rounds=(*facts.rounds[:-1], changed(last, turned=total)), readings={})


@fold.register
def _(request: SetHeight, answer: AnyAnswer, facts: Facts) -> Facts:
    return raised_by(facts, request.change_mm)


@fold.register
def _(request: TurnEndstop, answer: AnyAnswer, facts: Facts) -> Facts:
    if not isinstance(answer, Turned) or not request.turns:
        return facts
    share = sum(answer.turns.values()) / request.turns
    return raised_by(facts, request.change_mm * share, request.u_mm * abs(share))


@fold.register
def _(request: AskSheet, answer: AnyAnswer, facts: Facts) -> Facts:
    """Count with the sheets at hand from now on: the machine's shims have the thickness that was told."""
    if not isinstance(answer, Thickness):
        return facts
    sheets = (
        changed(a, mm_per_turn=answer.thick_mm) if a.kind == "shim" else a for a in facts.machine.adjuster
    )
    return changed(facts, machine=changed(facts.machine, adjuster=tuple(sheets)), sheet_mm=answer.thick_mm)


@fold.register
def _(request: ChangeHeightByMenu, answer: AnyAnswer, facts: Facts) -> Facts:
    return raised_by(facts, answer.change_mm) if isinstance(answer, HeightChanged) else facts


def raised_by(facts: Facts, change_mm: float, u_mm: float = 0.0) -> Facts:
    """Return the facts with the nozzle raised by `change_mm` after the running round."""
    if not facts.rounds:
        return facts
    last = facts.rounds[-1]
    height_mm, u_mm = last.height_change_mm + change_mm, math.hypot(last.height_u_mm, u_mm)
    last = changed(last, height_change_mm=height_mm, height_u_mm=u_mm)
    return changed(facts, rounds=(*facts.rounds[:-1], last), readings={})
