"""What follows once the machine follows a grid of its own."""

from __future__ import annotations

from profiles.grid import GridValue
from wizard.facts.fold import fold
from wizard.facts.known import Facts, away, changed
from wizard.requests import AnyAnswer, EnterGrid, FollowAgain, FollowGrid, LeaveGrid
from wizard.rounds import Reading, Round

BETWEEN_MM = 0.10
"""How far a gap between the places of a grid may be off what the grid makes of them: no source, wide."""


AT_PLACE_MM = 0.012
"""How far a gap at a place of the grid may be off: half a bracket as a card gives it."""


@fold.register
def _(request: EnterGrid, answer: AnyAnswer, facts: Facts) -> Facts:
    return to_verify(changed(facts, switched_on=True), request.values)


@fold.register
def _(request: FollowGrid, answer: AnyAnswer, facts: Facts) -> Facts:
    return to_verify(changed(facts, switched_on=True), request.values)


@fold.register
def _(request: FollowAgain, answer: AnyAnswer, facts: Facts) -> Facts:
    return changed(away(facts), switched_on=True)


@fold.register
def _(request: LeaveGrid, answer: AnyAnswer, facts: Facts) -> Facts:
    return changed(facts, switched_on=False)


def to_verify(facts: Facts, values: tuple[GridValue, ...]) -> Facts:
    """Return the facts of a machine that follows its grid: it is judged by the grid's places and by others.

    The gaps of the former are what the grid makes of them; the latter are read now, with little expected.
    """
    machine = facts.machine
    part = machine.compensation
    if part is None:
        return facts
    if not part.check:
        return changed(facts, rounds=(), readings={}, unfollowed=facts.rounds, following=True, grid=values)
    surely = changed(machine, point=machine.every_point)
    expected = {point.name: _between_points(facts, values) for point in part.check}
    expected |= {point.name: _of_the_grid(facts) for point in machine.point}
    return changed(
        facts,
        machine=surely,
        rounds=(Round(readings=expected),),
        readings={},
        unfollowed=facts.rounds,
        following=True,
        grid=values,
    )


def _of_the_grid(facts: Facts) -> Reading:
    """Return what a gap at one of the grid's places is made to be: the wanted one, as well as it was read."""
    wanted_mm = facts.machine.wanted_gap_mm
    return Reading(round(wanted_mm - AT_PLACE_MM, 6), round(wanted_mm + AT_PLACE_MM, 6), "given")


def _between_points(facts: Facts, values: tuple[GridValue, ...]) -> Reading:
    """Return what may be expected of a gap between the grid's places: the wanted one, give or take."""
    wanted_mm = facts.machine.wanted_gap_mm
    steepest = max((abs(value.offset_mm) for value in values), default=0.0)
    either_mm = BETWEEN_MM + steepest / 4.0
    return Reading(round(wanted_mm - either_mm, 6), round(wanted_mm + either_mm, 6), "given")
