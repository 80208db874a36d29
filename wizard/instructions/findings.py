"""A finding in sentences: what is to be done, with reasons and remedies. Pure."""

from __future__ import annotations

from collections.abc import Callable

from profiles.machine import Machine
from wizard.instructions.figures import counted, listed, mm
from wizard.instructions.fitting import short
from wizard.instructions.suspicions import suspicion_sentence
from wizard.instructions.turns import turn_words
from wizard.instructions.verdicts import NAME_WIDTH, verdict_sentence
from wizard.solver.finding import Finding


def finding_lines(finding: Finding, machine: Machine) -> tuple[str, ...]:
    """Return the whole finding, a sentence each: verdict, what to do, turns, height, suspicion."""
    lines = (
        verdict_sentence(finding, machine),
        *status_sentences(finding, machine),
        *_turns(finding, machine),
        _height(finding),
        limits_sentence(finding),
        suspicion_sentence(finding),
    )
    return tuple(line for line in lines if line)


def status_sentences(finding: Finding, machine: Machine) -> tuple[str, ...]:
    """Return what is to be done, with reasons and remedies."""
    return _STATUSES[finding.status](finding, machine)


def _level(finding: Finding, machine: Machine) -> tuple[str, ...]:
    unread = [short(p.name, NAME_WIDTH) for p in machine.point if p.only and p.name not in finding.points]
    left = (f"Not read yet: {listed(unread)}, by which it is proven.",) if unread else ()
    return ("Nothing is left to turn.", *left)


def _turn(finding: Finding, machine: Machine) -> tuple[str, ...]:
    if not finding.turns:
        return ("Only the nozzle height is to be changed.",)
    what = f"{counted(len(finding.turns), 'adjuster')} to turn"
    if finding.coarse:
        return (f"{_capital(what)}, coarsely: first the plate is brought into the gauge's range.",)
    left_mm = predicted_worst_mm(finding, machine)
    expected = "" if left_mm is None else f"; the worst gap should then be {mm(left_mm)} mm off"
    return (f"{_capital(what)}{expected}.",)


def predicted_worst_mm(finding: Finding, machine: Machine) -> float | None:
    """Return the largest deviation to expect after the turns; of the spread alone where height is apart."""
    predicted = [p.predicted_mm for p in finding.points.values()]
    if not predicted:
        return None
    if finding.height_change_mm is not None:
        return (max(predicted) - min(predicted)) / 2.0
    return max(abs(gap - machine.wanted_gap_mm) for gap in predicted)


def _measure_again(finding: Finding, machine: Machine) -> tuple[str, ...]:
    asks = [
        short(ask.point, NAME_WIDTH) + (f", starting with {mm(ask.leaf_mm)} mm" if ask.leaf_mm else "")
        for ask in finding.ask[:4]
    ]
    again = f"read again {'; '.join(asks)}" if asks else "read every point once more"
    room = _no_room(finding, machine)
    return (f"The readings do not decide it: {again}.", *((room,) if room else ()))


def _no_room(finding: Finding, machine: Machine) -> str:
    """Say that the plate's own form leaves no room for the gauge's uncertainty, where that is so."""
    left, u_mm = finding.best_possible_mm, min((p.u_mm for p in finding.points.values()), default=0.0)
    tolerance_mm = machine.first_layer.tolerance_mm
    if left is None or not left <= tolerance_mm < left + 2.0 * u_mm:
        return ""
    return (
        f"The best setting leaves {mm(left)} mm, and a gap is known to {mm(2.0 * u_mm)} mm (U=2u): together "
        f"more than the tolerance of {mm(tolerance_mm)} mm, so that it cannot be proven. A finer gauge, "
        "a wider tolerance, shims or software compensation help."
    )


def _not_by_adjusters(finding: Finding, machine: Machine) -> tuple[str, ...]:
    left = finding.best_possible_mm
    how = "" if left is None else f": {mm(left)} mm would be left at the best setting"
    return (f"No adjuster can remove what is left{how}.", *remedies(finding, machine))


def remedies(finding: Finding, machine: Machine) -> tuple[str, ...]:
    """Return the flatness that is left, and what helps against it, the cheapest first."""
    shape = finding.shape
    flatness = (
        ""
        if shape is None
        else f"Flatness {mm(shape.flatness_minimum_zone_mm)} mm (minimum zone, ISO 12781-1), "
        f"tolerance {mm(machine.first_layer.tolerance_mm)} mm."
    )
    compensation = (
        f"Software compensation over {machine.compensation.grid[0]} x {machine.compensation.grid[1]} points "
        "can follow this shape."
        if machine.compensation
        else "Software compensation can follow this shape, if the machine has it."
    )
    shims = "Shims under the plate at its low places can lift them."
    others = "Else another plate, or a thicker first layer."
    return tuple(
        line for line in (bow_sentence(finding, machine), flatness, compensation, shims, others) if line
    )


def bow_sentence(finding: Finding, machine: Machine) -> str:
    """Name the bow where it alone is more than what the tolerance allows between the highest and lowest."""
    if finding.shape is None or abs(finding.shape.bow_mm) <= machine.first_layer.tolerance_mm:
        return ""
    way = "the middle is high" if finding.shape.bow_mm > 0 else "the middle is low"
    return f"The plate is bowed by {mm(abs(finding.shape.bow_mm))} mm ({way}); no adjustment removes this."


def _out_of_travel(finding: Finding, machine: Machine) -> tuple[str, ...]:
    names = [short(name, NAME_WIDTH) for name in at_their_end(finding, machine)]
    which = f"{listed(names)} would have to go" if names else "An adjuster would have to go"
    return (
        f"{_capital(which)} beyond the travel that is left.",
        _another_height(finding, machine)
        or "Set all adjusters to the middle of their travel, change the nozzle height, and begin again.",
    )


def at_their_end(finding: Finding, machine: Machine) -> tuple[str, ...]:
    """Return the adjusters whose proposed turns reach an end of the travel that the profile gives."""
    return tuple(
        a.name
        for a in machine.adjuster
        if a.name in finding.turns
        and not a.travel_turns[0] + 1e-6 < finding.turns[a.name] < a.travel_turns[1] - 1e-6
    )


def _underdetermined(finding: Finding, machine: Machine) -> tuple[str, ...]:
    known = counted(len(finding.points), "point is", "points are")
    return (
        f"Too little is known to say what to turn: {known} known.",
        "Read at least three points that do not lie on one line.",
    )


def _inconsistent(finding: Finding, machine: Machine) -> tuple[str, ...]:
    return (
        "The readings contradict each other by more than their uncertainty; nothing is corrected silently.",
        "Clean tip and plate, check that the plate sits firm, and read again where it is asked.",
    )


_STATUSES: dict[str, Callable[[Finding, Machine], tuple[str, ...]]] = {
    "level": _level,
    "turn": _turn,
    "measure-again": _measure_again,
    "not-by-adjusters": _not_by_adjusters,
    "out-of-travel": _out_of_travel,
    "underdetermined": _underdetermined,
    "inconsistent": _inconsistent,
}


def _turns(finding: Finding, machine: Machine) -> tuple[str, ...]:
    known = {adjuster.name: adjuster for adjuster in machine.adjuster}
    return tuple(
        turn_words(known[name], turns).sentence + "."
        for name, turns in finding.turns.items()
        if name in known
    )


def _height(finding: Finding) -> str:
    change_mm = finding.height_change_mm
    if change_mm is None or not round(change_mm, 3):
        return ""
    return f"{'Raise' if change_mm > 0 else 'Lower'} the nozzle by {mm(abs(change_mm))} mm."


def _another_height(finding: Finding, machine: Machine) -> str:
    """Say how the plate can be levelled at another height, where travel is in the way."""
    way = finding.way_out
    known = {adjuster.name: adjuster for adjuster in machine.adjuster}
    if way is None or finding.status != "out-of-travel" or not set(way.turns) <= set(known):
        return ""
    turns = [turn_words(known[name], turns).sentence for name, turns in way.turns.items()]
    made = "; ".join(turns) if turns else "leave every adjuster where it is"
    moved = f"{'raise' if way.nozzle_mm > 0 else 'lower'} the nozzle by {mm(abs(way.nozzle_mm))} mm"
    return (
        f"The way out, at another height: {made}; then {moved} at its endstop; {mm(way.worst_mm)} mm remains."
    )


def limits_sentence(finding: Finding) -> str:
    """Say, with the figures, that step, gauge and tolerance cannot be reconciled; "" where they can."""
    limits = finding.limits
    if limits is None:
        return ""
    return (
        f"A tolerance of {mm(limits.tolerance_mm)} mm cannot be counted on to be proven: "
        f"the adjusters' step may leave {mm(limits.step_mm)} mm and "
        f"the best gauge at hand knows a gap to {mm(limits.reading_mm)} mm "
        "(U=2u). A finer step, a finer gauge or a wider tolerance is needed."
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
