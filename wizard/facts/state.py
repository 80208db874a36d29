"""What follows for the machine's own state: line, place, heat."""

from __future__ import annotations

from wizard.facts.fold import fold
from wizard.facts.known import Facts, changed
from wizard.requests import (
    CUT_SHORT,
    RESTED,
    AnyAnswer,
    Connect,
    Connected,
    CoolDown,
    Done,
    Home,
    Lift,
    Lower,
    Park,
    Reconnect,
    Soak,
    Warm,
)


@fold.register
def _(request: Connect, answer: AnyAnswer, facts: Facts) -> Facts:
    simulated = facts.simulated or (isinstance(answer, Connected) and answer.simulated)
    return changed(facts, connected=True, simulated=simulated)


@fold.register
def _(request: Home, answer: AnyAnswer, facts: Facts) -> Facts:
    return changed(_rested(facts, answer), homed=True, parked_at=None, z_mm=None)


@fold.register
def _(request: Warm, answer: AnyAnswer, facts: Facts) -> Facts:
    return changed(facts, bed_c=request.bed_c, nozzle_c=request.nozzle_c, soaked=False, soak_cut=False)


@fold.register
def _(request: Soak, answer: AnyAnswer, facts: Facts) -> Facts:
    cut = isinstance(answer, Done) and answer.note.startswith(CUT_SHORT)
    return changed(facts, soaked=not cut, soak_cut=cut)


@fold.register
def _(request: CoolDown, answer: AnyAnswer, facts: Facts) -> Facts:
    return changed(facts, bed_c=0.0, nozzle_c=0.0, soaked=False)


@fold.register
def _(request: Reconnect, answer: AnyAnswer, facts: Facts) -> Facts:
    """A machine that was switched off and on knows nothing of where it is, is cold and follows no grid."""
    cold = changed(facts, bed_c=0.0, nozzle_c=0.0, soaked=False)
    return changed(cold, homed=False, switched_on=False, parked_at=None, z_mm=None)


@fold.register(Park)
@fold.register(Lower)
def _(request: Park | Lower, answer: AnyAnswer, facts: Facts) -> Facts:
    return changed(_rested(facts, answer), parked_at=request.point, z_mm=request.z_mm)


@fold.register
def _(request: Lift, answer: AnyAnswer, facts: Facts) -> Facts:
    return changed(_rested(facts, answer), parked_at=None, z_mm=None)


def _rested(facts: Facts, answer: AnyAnswer) -> Facts:
    """Return the facts of a plate that has rested by now, where the answer to a move says so."""
    if not facts.soak_cut or not isinstance(answer, Done) or not answer.note.startswith(RESTED):
        return facts
    return changed(facts, soaked=True, soak_cut=False)
