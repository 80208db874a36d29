"""Wording for software compensation, for touches that repeat badly, and for motors that level. Pure."""

from __future__ import annotations

from profiles.grid import GridValue
from profiles.machine import Compensation, Machine
from wizard.facts import Facts
from wizard.instructions import cautions
from wizard.instructions.dispatch import page_of
from wizard.instructions.figures import counted, mm, signed_mm
from wizard.instructions.fitting import fit, headline
from wizard.instructions.page import Choice, Page
from wizard.requests import (
    STOP_HERE,
    TOUCH_AGAIN,
    Chosen,
    Confirmed,
    EnterGrid,
    FollowAgain,
    FollowGrid,
    LeaveGrid,
    MoveMotors,
    ReadHeight,
    Reconnect,
    SetGrid,
    ShowTouches,
    TouchGrid,
    TouchPoint,
    TouchTest,
)
from wizard.solver.finding import Finding

COLUMNS_A_LINE = 6
"""Of a grid, so that a line fits beside the map in 80 columns."""


def compensation_lines(machine: Machine, finding: Finding | None) -> tuple[str, ...]:
    """Return what a compensation does, what it needs and where it ends."""
    part = machine.compensation
    if part is None:
        return ()
    needed = finding is None or finding.verdict != "within"
    return fit(
        "The plate is not within tolerance as it is."
        if needed
        else "The plate is within tolerance as it is; this makes it finer.",
        f"{part.grid[0] * part.grid[1]} numbers, {_made_from(machine)}, let the nozzle follow the plate.",
        *_holds_for(part),
        f"It is then checked at {counted(len(part.check), 'other point')}."
        if part.check
        else "All points are then touched again.",
    )


def _made_from(machine: Machine) -> str:
    return "made from the gaps read" if machine.probe is None else "touched by the machine itself"


def _holds_for(part: Compensation) -> tuple[str, ...]:
    raft = (
        "It only works with a raft: a print without one is made as if it were off." if part.needs_raft else ""
    )
    fade = (
        "It holds through the whole height of a print."
        if part.fade_height_mm is None
        else f"It fades out over {mm(part.fade_height_mm)} mm of height; above that a print is straight."
    )
    return tuple(line for line in (raft, fade) if line)


def only_with_raft(facts: Facts) -> tuple[str, ...]:
    """Return what a result holds for, where the machine follows its grid."""
    part = facts.machine.compensation
    if part is None or not facts.following:
        return ()
    return (*_holds_for(part), _after_a_restart(part))


def _after_a_restart(part: Compensation) -> str:
    """Return what each print has to begin with."""
    if part.activate_command is None:
        return "Where a restart switches it off, switch it on in the menu before each print."
    return f"A restart switches it off: have each print begin with {part.activate_command}."


@page_of.register
def _(request: EnterGrid, facts: Facts) -> Page:
    body = fit(
        "This machine has no command for it: type the numbers below into its menu, and switch it on there.",
        "Columns run from left to right, rows from front to back, both from 0; mm, + is up.",
        *(_holds_for(facts.machine.compensation) if facts.machine.compensation else ()),
    )
    choices = (Choice("y", "typed in and switched on", Confirmed()),)
    caution = cautions.unless_simulated(facts, "The machine moves on this key.")
    return Page(
        "Type the grid into the machine's own menu.", body, choices, caution, table=grid_rows(request.values)
    )


def grid_rows(values: tuple[GridValue, ...]) -> tuple[str, ...]:
    """Return a line for each row of the grid, the back row first, as the plate is seen from above.

    A grid of many columns is told a few columns at a time, so that each line fits beside the map.
    """
    columns = max((value.column for value in values), default=-1) + 1
    kept = {(value.column, value.row): signed_mm(value.offset_mm) for value in values}
    told: list[str] = []
    for first in range(0, columns, COLUMNS_A_LINE):
        told += _some_columns(kept, range(first, min(first + COLUMNS_A_LINE, columns)))
    return tuple(told)


def _some_columns(kept: dict[tuple[int, int], str], columns: range) -> list[str]:
    rows = max(row for _, row in kept) + 1
    head = "column" + "".join(f"{column:>6}" for column in columns)
    return [head] + [
        f"row {row:<2}" + "".join(f"{kept.get((column, row), '0.00'):>6}" for column in columns)
        for row in reversed(range(rows))
    ]


@page_of.register
def _(request: SetGrid, facts: Facts) -> Page:
    body = fit(f"{counted(len(request.values), 'number')} go into the machine. Nothing moves.")
    return Page("Setting the grid of the compensation.", body, caution=cautions.unless_simulated(facts, ""))


@page_of.register
def _(request: FollowGrid, facts: Facts) -> Page:
    body = fit("From now on the nozzle follows the grid. What the machine kept of it is read back.")
    caution = cautions.while_moving(facts)
    return Page("Switching the compensation on.", body, caution=caution)


@page_of.register
def _(request: FollowAgain, facts: Facts) -> Page:
    body = fit("The nozzle follows the grid that the last proven run was made with.")
    return Page("Switching the compensation on again.", body, caution=cautions.while_moving(facts))


@page_of.register
def _(request: LeaveGrid, facts: Facts) -> Page:
    body = fit("What is read next is the bare plate.", "Nothing moves.")
    return Page("Switching the compensation off.", body, caution=cautions.unless_simulated(facts, ""))


@page_of.register
def _(request: ReadHeight, facts: Facts) -> Page:
    expected = request.expect_mm
    body = fit(
        "The machine is asked for the nozzle height that it keeps."
        if expected is None
        else f"It must be {mm(expected)} mm, as it was set; anything else is a fault.",
        "Nothing moves.",
    )
    return Page("Reading back the stored nozzle height.", body, caution=cautions.unless_simulated(facts, ""))


@page_of.register
def _(request: Reconnect, facts: Facts) -> Page:
    body = fit("Greeting the machine after its restart. Nothing moves and nothing heats.")
    return Page("Connecting again.", body, caution=cautions.unless_simulated(facts, ""))


@page_of.register
def _(request: TouchTest, facts: Facts) -> Page:
    where = "the touch plate" if request.point is None else request.point
    touches = counted(request.times, "touch", "touches").capitalize()
    body = fit(f"{touches} at one place, to see how well they repeat.")
    return Page(
        headline("Touching ", where, ". Keep hands clear."), body, caution=cautions.while_moving(facts)
    )


@page_of.register
def _(request: TouchPoint, facts: Facts) -> Page:
    body = fit(
        f"Point {request.nth} of {request.total}, pass {request.round}; the machine reads it by itself."
    )
    title = headline("Touching ", request.point, ". Keep hands clear.")
    return Page(title, body, caution=cautions.while_moving(facts))


@page_of.register
def _(request: TouchGrid, facts: Facts) -> Page:
    body = fit(f"{len(request.places)} places, one touch each: what the compensation is made of.")
    return Page("Touching the grid. Keep hands clear.", body, caution=cautions.while_moving(facts))


@page_of.register
def _(request: MoveMotors, facts: Facts) -> Page:
    body = fit(
        f"{counted(len(request.turns), 'motor')} move, the nozzle lifted. Then the machine homes again."
    )
    return Page("The motors level the plate. Keep hands clear.", body, caution=cautions.while_moving(facts))


@page_of.register
def _(request: ShowTouches, facts: Facts) -> Page:
    body = fit(
        f"Repeatability standard deviation of {request.times} touches: {request.sd_mm:.3f} mm (ISO 5725-2); "
        f"allowed here: {request.limit_mm:.3f} mm.",
        "The likely cause is plastic on the tip: brush it while warm, until it is bare.",
        "Else something is loose: nozzle, probe, or the plate on its mounts.",
        "Readings by such touches would say nothing.",
    )
    choices = (
        Choice("y", "cleaned: touch again", Chosen(TOUCH_AGAIN)),
        Choice("n", "no more touches: read by gauge", Chosen(STOP_HERE)),
    )
    hot = cautions.HOT_AND_MOVES if cautions.is_hot(facts) else cautions.MOVES_NEXT
    return Page(
        "The touches do not repeat well enough.", body, choices, cautions.unless_simulated(facts, hot)
    )
