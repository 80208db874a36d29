"""A finding in sentences: verdict with its rule, what is to be done, remedies, suspicion. Pure."""

from __future__ import annotations

from collections.abc import Callable

from profiles.machine import Machine
from wizard.instructions.figures import counted, listed, mm
from wizard.instructions.page import short
from wizard.instructions.turns import turn_words
from wizard.solver.finding import Finding, PointFinding, Suspicion

RULE = "ISO 14253-1, U=2u"
COVERAGE = 2.0
NAME_WIDTH = 40


def finding_lines(finding: Finding, machine: Machine) -> tuple[str, ...]:
    """Return the whole finding, a sentence each: verdict, what to do, turns, height, suspicion."""
    lines = (
        verdict_sentence(finding, machine),
        *status_sentences(finding, machine),
        *_turns(finding, machine),
        _height(finding),
        suspicion_sentence(finding),
    )
    return tuple(line for line in lines if line)


def verdict_sentence(finding: Finding, machine: Machine) -> str:
    """Return the verdict with the figures it rests on and the rule it was decided by."""
    if not finding.points:
        return f"{finding.verdict.capitalize()}: no gap is known yet."
    return _VERDICTS[finding.verdict](finding, machine)


def off(point: PointFinding) -> str:
    """Return how far a gap is off its target, in words: "0.12 mm too wide"."""
    size = mm(abs(point.deviation_mm))
    if size == mm(0.0):
        return "exact"
    return f"{size} mm too {'wide' if point.deviation_mm > 0 else 'narrow'}"


def _within(finding: Finding, machine: Machine) -> str:
    layer = machine.first_layer
    name, _ = _worst(finding, lambda p: abs(p.deviation_mm) + COVERAGE * p.u_mm)
    return (
        f"Within: every gap is {mm(layer.gap_mm)} +/- {mm(layer.tolerance_mm)} mm, uncertainty counted in "
        f"({RULE}); the nearest to the limit is {_told(name, finding)}."
    )


def _outside(finding: Finding, machine: Machine) -> str:
    name, _ = _worst(finding, lambda p: abs(p.deviation_mm) - COVERAGE * p.u_mm)
    return (
        f"Outside: {_told(name, finding)}; even with that allowed for, it is more than the "
        f"{mm(machine.first_layer.tolerance_mm)} mm of tolerance ({RULE})."
    )


def _undecided(finding: Finding, machine: Machine) -> str:
    name, _ = _worst(finding, lambda p: abs(p.deviation_mm) + COVERAGE * p.u_mm)
    return (
        f"Undecided: {_told(name, finding)}; with a tolerance of {mm(machine.first_layer.tolerance_mm)} mm "
        f"that proves neither within nor outside ({RULE})."
    )


_VERDICTS: dict[str, Callable[[Finding, Machine], str]] = {
    "within": _within,
    "outside": _outside,
    "undecided": _undecided,
}


def _worst(finding: Finding, by: Callable[[PointFinding], float]) -> tuple[str, PointFinding]:
    return max(finding.points.items(), key=lambda item: by(item[1]))


def _told(name: str, finding: Finding) -> str:
    point = finding.points[name]
    return f"{short(name, NAME_WIDTH)}, {off(point)}, U {mm(COVERAGE * point.u_mm)} mm"


def status_sentences(finding: Finding, machine: Machine) -> tuple[str, ...]:
    """Return what is to be done, with reasons and remedies."""
    return _STATUSES[finding.status](finding, machine)


def _level(finding: Finding, machine: Machine) -> tuple[str, ...]:
    return ("Nothing is left to turn.",)


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
    return max(abs(gap - machine.first_layer.gap_mm) for gap in predicted)


def _measure_again(finding: Finding, machine: Machine) -> tuple[str, ...]:
    asks = [
        short(ask.point, NAME_WIDTH) + (f", starting with {mm(ask.leaf_mm)} mm" if ask.leaf_mm else "")
        for ask in finding.ask[:4]
    ]
    if not asks:
        return ("The readings do not decide it: read every point once more.",)
    return (f"The readings do not decide it: read again {'; '.join(asks)}.",)


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
    return tuple(line for line in (flatness, compensation, shims, others) if line)


def _out_of_travel(finding: Finding, machine: Machine) -> tuple[str, ...]:
    names = [short(name, NAME_WIDTH) for name in at_their_end(finding, machine)]
    which = f"{listed(names)} would have to go" if names else "An adjuster would have to go"
    return (
        f"{_capital(which)} beyond the travel that is left.",
        "Set all adjusters to the middle of their travel, change the nozzle height, and begin again.",
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


def suspicion_sentence(finding: Finding) -> str:
    """Return the likeliest story behind readings that do not fit, as a question with its odds."""
    suspicion = finding.suspicion
    if suspicion is None:
        return ""
    return f"{_SUSPICIONS[suspicion.kind](suspicion)} The odds are {_odds(suspicion.odds)}."


def _odds(odds: float) -> str:
    """Return odds as whole numbers: "about 8 to 1", "about 1 to 3"."""
    if odds >= 1000:
        return "over 1000 to 1"
    if odds >= 1:
        return f"about {odds:.0f} to 1"
    return f"about 1 to {1 / odds:.0f}" if odds > 1e-3 else "less than 1 to 1000"


def _adjuster(suspicion: Suspicion) -> str:
    return short(suspicion.adjuster or "an adjuster", NAME_WIDTH)


_SUSPICIONS: dict[str, Callable[[Suspicion], str]] = {
    "turned-other-way": lambda s: f"Was {_adjuster(s)} turned the other way?",
    "not-turned": lambda s: f"Was {_adjuster(s)} not turned at all?",
    "other-adjuster": lambda s: f"Was {_adjuster(s)} turned in place of another?",
    "reading-slipped": lambda s: f"Did the reading at {short(s.point or 'a point', NAME_WIDTH)} slip?",
    "home-shifted": lambda _: "Did the machine home to another height since the readings before?",
}


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
