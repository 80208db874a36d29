"""A run as it is listed: what its journal's lines add up to. Pure."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import Literal

import msgspec

from wizard.facts import Facts, after
from wizard.journal.lines import AnyLine, Break, End, Header, Record, Remark, Step, add_all
from wizard.requests import ByPerson, Connected, ShowResult
from wizard.rounds import Round
from wizard.solver.finding import Finding

Status = Literal["proven", "not proven", "not ended"]
ID_LENGTH = 16


class Run(msgspec.Struct, frozen=True):
    """One run. Times are UTC, ISO 8601; `ended` is that of the last line where the run has not ended.

    identity: what the machine told of itself. verdict, worst_mm: of the last finding, "" and None before.
    nozzle, nozzle_mm, remark: what the person said. answers: those of the person that hold.
    """

    id: str
    procedure: str
    machine: str
    created: str
    ended: str
    status: Status
    verdict: str = ""
    worst_mm: float | None = None
    rounds: int = 0
    answers: int = 0
    nozzle: str = ""
    nozzle_mm: float | None = None
    remark: str = ""
    by_hand: bool = False
    simulated: bool = False
    identity: dict[str, str] = {}
    bed_c: float = 0.0
    nozzle_c: float = 0.0
    version: str = ""


class Whole(msgspec.Struct, frozen=True):
    """A run with all that follows from its answers: header, answers that hold, facts, last finding."""

    run: Run
    header: Header
    steps: tuple[Step, ...]
    facts: Facts
    finding: Finding | None

    @property
    def rounds(self) -> tuple[Round, ...]:
        """All rounds, readings at the measuring height."""
        return self.facts.rounds


def whole_of(name: str, lines: Sequence[AnyLine]) -> Whole:
    """Return the run that the lines of the journal `name` tell of. The first line is its header."""
    header, record = lines[0], add_all(lines[1:])
    assert isinstance(header, Header)
    facts = _facts(header, record)
    finding = _finding(record, facts)
    return Whole(_run(name, header, lines, record, facts, finding), header, record.steps, facts, finding)


def id_of(name: str, header: Header) -> str:
    """Return the run's id, the same on every machine and at every filing."""
    told = f"{header.key or name}\n{header.created}\n{header.profile.name}\n{header.procedure}"
    return hashlib.sha256(told.encode()).hexdigest()[:ID_LENGTH]


def _run(  # noqa: PLR0917 -- all that a run is made of
    name: str,
    header: Header,
    lines: Sequence[AnyLine],
    record: Record,
    facts: Facts,
    finding: Finding | None,
) -> Run:
    who = next((s.answer for s in reversed(record.steps) if isinstance(s.answer, Connected)), None)
    return Run(
        id=id_of(name, header),
        procedure=header.procedure,
        machine=header.profile.name,
        created=header.created,
        ended=_last_time(lines) or header.created,
        status=_status(record),
        verdict=finding.verdict if finding else "",
        worst_mm=finding.worst_deviation_mm if finding else None,
        rounds=facts.rounds_read,
        answers=sum(isinstance(step.request, ByPerson) for step in record.steps),
        nozzle=header.nozzle,
        nozzle_mm=header.nozzle_mm,
        remark=_remarks(header, lines),
        by_hand=header.by_hand,
        simulated=facts.simulated,
        identity=dict(who.identity) if who else {},
        bed_c=header.profile.heat.bed_c,
        nozzle_c=header.profile.heat.nozzle_c,
        version=header.version,
    )


def _remarks(header: Header, lines: Sequence[AnyLine]) -> str:
    """Return all that was said of the run, in its order."""
    later = (line.text for line in lines if isinstance(line, Remark))
    return "; ".join(text for text in (header.remark, *later) if text)


def _facts(header: Header, record: Record) -> Facts:
    facts = Facts(header.profile, by_hand=header.by_hand)
    for step in record.steps:
        facts = after(facts, step.request, step.answer)
    return facts


def _finding(record: Record, facts: Facts) -> Finding | None:
    """Return the finding that the run ended with, else the newest that it told."""
    if record.outcome is not None and record.outcome.finding is not None:
        return record.outcome.finding
    shown = (s.request.finding for s in reversed(record.steps) if isinstance(s.request, ShowResult))
    return next(shown, facts.finding)


def _status(record: Record) -> Status:
    if record.outcome is None:
        return "not ended"
    return "proven" if record.outcome.proven else "not proven"


def _last_time(lines: Sequence[AnyLine]) -> str:
    times = (line.at for line in reversed(lines) if isinstance(line, Step | Break | End))
    return next((at for at in times if at), "")
