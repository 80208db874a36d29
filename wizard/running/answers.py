"""Which answers a request takes. Pure: a refusal says what is allowed, and nothing is lost by it."""

from __future__ import annotations

import math

from profiles.check_print import LEAST_NOZZLE_C
from profiles.machine import Machine
from wizard.requests import (
    CHECK_PRINT,
    AnyAnswer,
    AnyRequest,
    AskFilament,
    AskSheet,
    ChangeHeightByMenu,
    Choose,
    Chosen,
    Confirm,
    Confirmed,
    Done,
    EnterGrid,
    Feel,
    Felt,
    Filament,
    HeightChanged,
    JudgePad,
    LookForDaylight,
    MoveByHand,
    PadMeasured,
    PadSeen,
    ReadingTaken,
    Seen,
    ShowChange,
    ShowPrint,
    ShowResult,
    ShowTouches,
    Skipped,
    Soak,
    TakeReading,
    Thickness,
    Turn,
    Turned,
    TurnEndstop,
)
from wizard.rounds import Reading

ENDSTOP_SCREW = "endstop screw"
MOST_TURNS = 100.0
"""More than any adjuster can make in one go: such a number is a slip of the keyboard."""

SHEETS_MM = (0.005, 2.0)
"""From the thinnest metal foil to a thick washer: what can lie under a mount as a shim."""

PADS_MM = (0.01, 2.0)
"""From what a micrometer just tells to several first layers."""

TAKES: dict[type, tuple[type, ...]] = {
    Confirm: (Confirmed,),
    Choose: (Chosen,),
    LookForDaylight: (Seen, Skipped),
    TakeReading: (ReadingTaken, Skipped),
    Feel: (Felt, Skipped),
    Turn: (Turned, Skipped),
    TurnEndstop: (Turned, Skipped),
    AskSheet: (Thickness,),
    EnterGrid: (Confirmed,),
    ShowTouches: (Chosen,),
    ChangeHeightByMenu: (HeightChanged, Skipped),
    MoveByHand: (Confirmed,),
    ShowResult: (Confirmed, Chosen),
    AskFilament: (Filament,),
    JudgePad: (PadMeasured, PadSeen, Skipped),
    ShowPrint: (Chosen,),
    ShowChange: (Chosen,),
    Soak: (Done,),
}


def check(request: AnyRequest, answer: AnyAnswer, machine: Machine) -> None:
    """Raise ValueError where `request` does not take `answer`, with what it takes."""
    allowed = TAKES.get(type(request), ())
    if not isinstance(answer, allowed):
        names = " or ".join(kind.__name__ for kind in allowed) or "no answer from a person"
        raise ValueError(f"{type(request).__name__} takes {names}, not {type(answer).__name__}")
    if isinstance(request, Choose | ShowChange | ShowPrint) and isinstance(answer, Chosen):
        _check_option(answer.option, request.options)
    elif isinstance(request, ShowResult) and isinstance(answer, Chosen):
        _check_option(answer.option, (CHECK_PRINT,) if request.can_print else ())
    elif isinstance(answer, Filament):
        _check_filament(answer, machine)
    elif isinstance(answer, PadMeasured):
        _check_pad(answer.thick_mm)
    elif isinstance(answer, ReadingTaken):
        _check_reading(answer.reading)
    elif isinstance(answer, Turned):
        _check_turns(answer.turns, _turnable(request, machine))
    elif isinstance(answer, HeightChanged):
        _check_height(answer.change_mm, machine)
    elif isinstance(answer, Thickness):
        _check_sheet(answer.thick_mm)
    elif isinstance(answer, Skipped) and not answer.reason.strip():
        raise ValueError("a step is left out with a reason; the reason is empty")


def _check_option(option: str, options: tuple[str, ...]) -> None:
    if option not in options:
        raise ValueError(f"{option!r} is not one of the options: {', '.join(options)}")


def _check_reading(reading: Reading) -> None:
    """Refuse a reading that no gauge can give: nothing known, not finite, below zero, or upside down."""
    sides = [side for side in (reading.low_mm, reading.high_mm) if side is not None]
    if not sides:
        raise ValueError("a reading needs a thickness that slides or one that will not enter")
    if not all(math.isfinite(side) and side >= 0.0 for side in sides):
        raise ValueError("a reading is in mm, zero or more, and finite")
    if len(sides) == 2 and sides[0] > sides[1]:
        raise ValueError(
            f"what slides ({sides[0]:g} mm) cannot be thicker than what will not ({sides[1]:g} mm)"
        )


def _turnable(request: AnyRequest, machine: Machine) -> tuple[str, ...]:
    if isinstance(request, TurnEndstop):
        return (ENDSTOP_SCREW,)
    return tuple(adjuster.name for adjuster in machine.adjuster if adjuster.kind != "fixed")


def _check_turns(turns: dict[str, float], names: tuple[str, ...]) -> None:
    for name, count in turns.items():
        if name not in names:
            raise ValueError(f"{name!r} cannot be turned here; there is: {', '.join(names)}")
        if not math.isfinite(count) or abs(count) > MOST_TURNS:
            raise ValueError(
                f"{count:g} turns of {name!r}: give a number from -{MOST_TURNS:g} to {MOST_TURNS:g}"
            )


def _check_sheet(thick_mm: float) -> None:
    low, high = SHEETS_MM
    if not (math.isfinite(thick_mm) and low <= thick_mm <= high):
        raise ValueError(f"a sheet of {thick_mm:g} mm: give a thickness from {low:g} to {high:g} mm")


def _check_filament(answer: Filament, machine: Machine) -> None:
    """Refuse temperatures beyond the profile's limits, or at which no common filament flows."""
    heat = machine.heat
    for what, celsius, low_c, high_c in (
        ("plate", answer.bed_c, 0.0, heat.max_bed_c),
        ("nozzle", answer.nozzle_c, LEAST_NOZZLE_C, heat.max_nozzle_c),
    ):
        if not low_c <= celsius <= high_c:
            raise ValueError(
                f"{celsius:g} degrees for the {what}: this machine allows {low_c:g} to {high_c:g}"
            )


def _check_pad(thick_mm: float) -> None:
    low, high = PADS_MM
    if not low <= thick_mm <= high:
        raise ValueError(f"a pad of {thick_mm:g} mm: give a thickness from {low:g} to {high:g} mm")


def _check_height(change_mm: float, machine: Machine) -> None:
    low, high = machine.motion.z_mm
    most = high - low
    if not math.isfinite(change_mm) or abs(change_mm) > most:
        raise ValueError(f"a height change of {change_mm:g} mm: give a number from -{most:g} to {most:g}")
