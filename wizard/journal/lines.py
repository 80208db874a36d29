"""The lines of a journal as frozen values, and what they add up to. Pure.

Files are in `wizard.journal.files`.

A journal is append-only: an answer that is taken back stays in it, followed by a line that says so.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

import msgspec

from profiles.machine import Machine
from wizard.base import Base
from wizard.requests import (
    AnyAnswer,
    AnyRequest,
    ByMachine,
    ByPerson,
    Confirmed,
    EnterGrid,
    FollowGrid,
    HeightChanged,
    MoveMotors,
    Outcome,
    SetGrid,
    SetHeight,
    Store,
    Turned,
)

MACHINE_CHANGED = (SetHeight, Store, MoveMotors, SetGrid, FollowGrid)
"""What the machine has changed in itself; no answer before it can be taken back, as it stays changed."""

CUT_OFF = "It was cut off without a word: the program was killed, or the power failed."
"""What is known of a run that has left no line on its end."""

FORMAT: Literal["tramwright-journal/1"] = "tramwright-journal/1"


class Line(msgspec.Struct, frozen=True, tag_field="line", omit_defaults=True):
    """Base of all lines."""


class Header(Line, frozen=True, tag="header"):
    """The first line: what run this is. `created` is UTC, ISO 8601; `version` the program's.

    nozzle, nozzle_mm, remark: what the person says of the nozzle in use and of the run.
    base: the run that a recheck compares with. key: drawn at random, so that no two hosts make one run.
    """

    procedure: str
    profile: Machine
    by_hand: bool = False
    port: str = ""
    created: str = ""
    version: str = ""
    format: Literal["tramwright-journal/1"] = FORMAT
    nozzle: str = ""
    nozzle_mm: float | None = None
    remark: str = ""
    base: Base | None = None
    key: str = ""


class Step(Line, frozen=True, tag="step"):
    """A request and its answer. `early`: a reading although the soak had been cut short.

    bed_c, nozzle_c: with a reading, how warm the machine had last told to be; None where it tells nothing.
    """

    request: AnyRequest
    answer: AnyAnswer
    at: str = ""
    early: bool = False
    bed_c: float | None = None
    nozzle_c: float | None = None


class Begun(Line, frozen=True, tag="begun"):
    """Something that must not be done twice is about to be sent; without a request: it was not sent."""

    request: AnyRequest | None = None


class Back(Line, frozen=True, tag="back"):
    """The last answer of the person was taken back, with all that followed it."""


class Break(Line, frozen=True, tag="break"):
    """The run was cut off, and why; it can be taken up again. `fault`: not by a person."""

    reason: str
    at: str = ""
    fault: bool = False


class Looked(Line, frozen=True, tag="looked"):
    """A person has looked at the machine after the fault before this line, and found it safe to move."""

    at: str = ""


class Remark(Line, frozen=True, tag="remark"):
    """What a person says of the run, at any time."""

    text: str
    at: str = ""


class End(Line, frozen=True, tag="end"):
    """The procedure ended by itself."""

    outcome: Outcome
    at: str = ""


AnyLine = Header | Step | Begun | Back | Break | Looked | Remark | End


class Record(msgspec.Struct, frozen=True):
    """What the lines add up to.

    steps: the answers that hold. begun: sent for sure or not, never answered (None: nothing such).
    floor: no answer below this count can be taken back, since the plate was really changed after it.
    """

    steps: tuple[Step, ...] = ()
    begun: AnyRequest | None = None
    floor: int = 0
    outcome: Outcome | None = None

    @property
    def back_to(self) -> int | None:
        """How many steps are left once the person's last answer is taken back; None: it cannot be."""
        for i in reversed(range(self.floor, len(self.steps))):
            if isinstance(self.steps[i].request, ByPerson):
                return i
            if isinstance(self.steps[i].request, MACHINE_CHANGED):
                return None
        return None


def add(record: Record, line: AnyLine) -> Record:
    """Return the record after one more line."""
    if isinstance(line, Step):
        return msgspec.structs.replace(record, steps=(*record.steps, line), begun=None)
    if isinstance(line, Begun):
        return msgspec.structs.replace(record, begun=line.request)
    if isinstance(line, End):
        return msgspec.structs.replace(record, outcome=line.outcome)
    return _taken_back(record) if isinstance(line, Back) else record


def _taken_back(record: Record) -> Record:
    """Drop the person's last answer; where it told of a real change, nothing before it can be dropped."""
    count = record.back_to
    if count is None:
        return record
    floor = count if _changed_the_machine(record.steps[count]) else record.floor
    return msgspec.structs.replace(record, steps=record.steps[:count], floor=floor)


def _changed_the_machine(step: Step) -> bool:
    answer = step.answer
    if isinstance(answer, Turned):
        return any(answer.turns.values())
    if isinstance(answer, HeightChanged):
        return answer.change_mm != 0.0
    return isinstance(step.request, EnterGrid) and isinstance(answer, Confirmed)


def open_fault(lines: Iterable[AnyLine]) -> Break | None:
    """Return the fault that a run has ended in, None where it went on since, or a person has looked."""
    fault = None
    for line in lines:
        if isinstance(line, Break):
            fault = line if line.fault else fault
        elif isinstance(line, Step | End | Looked):
            fault = None
    return fault


def silent_end(lines: Iterable[AnyLine]) -> Break | None:
    """Return the end of a run that was cut off without a word with a machine at work, None for any other.

    Whoever ends a run, or is told to, leaves a line; a killed program and a power cut leave none, and maybe
    heaters that are on. By hand the person stands there, and before the line is open nothing is heated.
    """
    silent, at = False, ""
    for line in lines:
        if isinstance(line, Header) and line.by_hand:
            return None
        if isinstance(line, Break | End | Looked):
            silent = False
        elif isinstance(line, Step):
            silent, at = silent or isinstance(line.request, ByMachine), line.at
    return Break(CUT_OFF, at) if silent else None


def met_the_machine(lines: Iterable[AnyLine]) -> bool:
    """Tell whether a run came so far that a machine did anything."""
    return any(isinstance(line, Step) and isinstance(line.request, ByMachine) for line in lines)


def add_all(lines: Iterable[AnyLine]) -> Record:
    """Return what all lines add up to."""
    record = Record()
    for line in lines:
        record = add(record, line)
    return record
