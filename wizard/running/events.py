"""What a session tells whoever listens: a screen, the line-by-line printer, a test."""

from __future__ import annotations

import msgspec

from drivers.interface import LineRecord, Status
from wizard.facts import Facts
from wizard.requests import AnyAnswer, AnyRequest, Outcome


class Asked(msgspec.Struct, frozen=True):
    """A person has to answer `request`. `can_go_back`: there is an earlier answer to take back."""

    request: AnyRequest
    facts: Facts
    can_go_back: bool


class Working(msgspec.Struct, frozen=True):
    """The machine is carrying out `request`."""

    request: AnyRequest
    facts: Facts


class Answered(msgspec.Struct, frozen=True):
    """`answer` was journalled and used."""

    request: AnyRequest
    answer: AnyAnswer


class StateChanged(msgspec.Struct, frozen=True):
    """The flow went from one state to another."""

    before: str
    after: str


class StatusChanged(msgspec.Struct, frozen=True):
    """Temperatures, position, link."""

    status: Status


class LineSeen(msgspec.Struct, frozen=True):
    """One line of the exchange with the machine."""

    record: LineRecord


class SoakTick(msgspec.Struct, frozen=True):
    """The soak clock, seconds."""

    left_s: float
    total_s: float


class PrintTick(msgspec.Struct, frozen=True):
    """How far a check print has come: blocks of all, and seconds left."""

    done: int
    total: int
    left_s: float


class Faulted(msgspec.Struct, frozen=True):
    """The job cannot go on now. `text` says what happened and what to do next."""

    kind: str
    text: str
    exchange: tuple[str, ...] = ()


class Notice(msgspec.Struct, frozen=True):
    """Something the person should know; the job goes on. unrecorded: that its record is no longer written."""

    text: str
    unrecorded: bool = False


class Finished(msgspec.Struct, frozen=True):
    """The procedure has ended."""

    outcome: Outcome


Event = (
    Asked
    | Working
    | Answered
    | StateChanged
    | StatusChanged
    | LineSeen
    | SoakTick
    | PrintTick
    | Faulted
    | Notice
    | Finished
)
