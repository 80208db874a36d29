"""What a request is answered with."""

from __future__ import annotations

import msgspec

from wizard.requests.base import Touch
from wizard.rounds import Reading


class Answer(msgspec.Struct, frozen=True, tag=True):
    """Base of all answers."""


class Done(Answer, frozen=True):
    """The machine has done what was asked; `note` says what was out of the ordinary."""

    note: str = ""


class Connected(Answer, frozen=True):
    """Who the machine says it is. `simulated` is true where it says that it is a simulation.

    note: what the person should know of the line, "" for nothing.
    """

    line: str
    identity: dict[str, str] = {}
    simulated: bool = False
    note: str = ""


class Confirmed(Answer, frozen=True):
    """Read and done."""


class Chosen(Answer, frozen=True):
    """One of the options."""

    option: str


class Seen(Answer, frozen=True):
    """Whether the thick card passes."""

    clear: bool


class ReadingTaken(Answer, frozen=True):
    """A reading of the gap as the nozzle stood (at the request's `z_mm`)."""

    reading: Reading


class Felt(Answer, frozen=True):
    """How the card felt."""

    touch: Touch


class Turned(Answer, frozen=True):
    """The turns really made, clockwise positive."""

    turns: dict[str, float]


class HeightChanged(Answer, frozen=True):
    """How far the person raised (+) the nozzle."""

    change_mm: float


class HeightKept(Answer, frozen=True):
    """The nozzle height that the machine keeps; a larger number raises the nozzle."""

    offset_mm: float


class Touched(Answer, frozen=True):
    """Commanded Z of each contact."""

    z_mm: tuple[float, ...]


class Thickness(Answer, frozen=True):
    """The thickness of one sheet."""

    thick_mm: float


ONE_CARD = "only one card at hand"
"""Why two bank cards were not tried: the look is left out, and the point is not."""


class Skipped(Answer, frozen=True):
    """Left out, and why."""

    reason: str
