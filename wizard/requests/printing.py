"""The check print: what is asked for and answered before, during and after it."""

from __future__ import annotations

from typing import Literal

import msgspec

from wizard.requests.answers import Answer
from wizard.requests.base import ByMachine, ByPerson
from wizard.solver.finding import Finding, Verdict

Tool = Literal["caliper", "micrometer"]
Look = Literal[1, 2, 3, 4, 5]
"""How a pad looks: 1 lines apart and loose, 2 apart, 3 closed and even, 4 ridged, 5 scraped."""

CALIPER: Literal["caliper"] = "caliper"
MICROMETER: Literal["micrometer"] = "micrometer"
BY_LOOK: Literal["look"] = "look"
CHECK_PRINT = "check print"
CORRECT = "correct it"
PRINT_AGAIN = "print again"


class Checks(msgspec.Struct, frozen=True):
    """What was done to prove it. gauge: points read by gauge or touch; passed: a whole pass proved it.

    changed: something was turned or set since that pass. printed: what the last print says, "" without one;
    pads: how many of it were judged.
    """

    gauge: int = 0
    passed: bool = False
    changed: bool = False
    printed: Verdict | Literal[""] = ""
    pads: int = 0


class AskFilament(ByPerson, frozen=True):
    """Which temperatures does the filament want? Those given are the profile's. Answer: Filament."""

    bed_c: float
    nozzle_c: float


class JudgePad(ByPerson, frozen=True):
    """One pad of the check print, at its middle. Answer: PadMeasured, PadSeen or Skipped.

    how: the tool, or "look". round: the round that the reading belongs to. again: how often this pad was
    measured before, which one more makes surer.
    """

    point: str
    how: Literal["caliper", "micrometer", "look"]
    round: int
    nth: int
    total: int
    again: int = 0


class ShowPrint(ByPerson, frozen=True):
    """What the pads tell, together with what was known. Answer: Chosen: CORRECT, PRINT_AGAIN or CLOSE."""

    finding: Finding
    pads: int
    options: tuple[str, ...]


class PrintLayer(ByMachine, frozen=True):
    """Lay the check print down, from clearance height and back to it, already hot. Answer: Done."""

    bed_c: float
    nozzle_c: float


class Filament(Answer, frozen=True):
    """The filament's own temperatures, as its maker says; 0 is a cold plate."""

    bed_c: float
    nozzle_c: float


class PadMeasured(Answer, frozen=True):
    """A pad's thickness at its middle, mm."""

    thick_mm: float


class PadSeen(Answer, frozen=True):
    """How a pad looks."""

    look: Look
