"""A job that is cut off and taken up again: what its record says, and what has to hold then."""

from __future__ import annotations

import signal
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import msgspec

from tests.journeys.bed import Bed
from tests.journeys.person import Person
from tests.journeys.program import Page, Program
from wizard.facts import Facts
from wizard.journal.lines import AnyLine, Step, add_all
from wizard.procedures.level import level
from wizard.requests import AnyRequest
from wizard.running.course import replay


class Cut(NamedTuple):
    """How a job stood when it was cut off: all its answers, what was wanted next, blocks carried out."""

    steps: tuple[Step, ...]
    pending: AnyRequest | None
    blocks: int


class Job:
    """One job on one bed, done by one program after another; each but the first takes it up again."""

    def __init__(self, begin: Callable[..., Program], bed: Bed, record: Path) -> None:
        self.bed = bed
        self._begin = begin
        self._record = record

    def taken_up(self, cut: Cut | None) -> Program:
        """Start the next program; it goes on from `cut`, or is the first."""
        return self._begin(self.bed, *(("--resume",) if cut else ()))

    def stands(self) -> Cut:
        """Read from the record alone, without the program, how far the job has come."""
        (path,) = self._record.glob("*.jsonl")
        whole = path.read_bytes().rpartition(b"\n")[0].splitlines()
        steps = add_all([msgspec.json.decode(line, type=AnyLine) for line in whole][1:]).steps
        pending = replay(level, Facts(self.bed.printer.machine), steps).pending
        return Cut(steps, pending, len(self.bed.blocks))

    def kill(self, program: Program) -> Cut:
        """Kill the program as it stands, and look at what it leaves."""
        program.signal(signal.SIGKILL)
        assert program.ends() == -signal.SIGKILL
        return self.stands()

    def kept_all(self, cut: Cut) -> None:
        """Check that every answer is as it was, and that the machine was homed before it moved again."""
        assert self.stands().steps[: len(cut.steps)] == cut.steps
        moved = [code for code in self.bed.blocks[cut.blocks :] if code in ("G0", "G1", "G28")]
        assert moved[:1] in ([], ["G28"])

    def ended_well(self, program: Program) -> None:
        """Check that the job is done, proven and true, and that nothing was touched on the way."""
        assert program.ends() == 0
        assert any("proven by a whole pass" in line for line in program.said)
        assert self.bed.worst_mm <= self.bed.tolerance_mm
        assert self.bed.printer.record.violations == []


def asked_again(job: Job, page: Page, cut: Cut) -> Program:
    """Take the job up; return once the same question stands there again, all answers kept."""
    program = job.taken_up(cut)
    again = program.question()
    if again != page:
        assert again is not None
        program.type(next(iter(again.keys)))  # the homing after the break
        again = program.question()
    assert again is not None
    assert (again.title, again.keys) == (page.title, page.keys)
    now = job.stands()
    assert len(now.steps) == len(cut.steps)
    assert now.pending == cut.pending
    job.kept_all(cut)
    return program


def killed_at_each(job: Job, person: Person, first: int, last: int) -> int:
    """Do a whole job; kill the program at each question from number `first` on, before number `last`.

    Returns how many questions there were.
    """
    program, asked = job.taken_up(None), 1
    page = program.question()
    while page is not None:
        if first <= asked < last:
            program = asked_again(job, page, job.kill(program))
        program.type(person.answer(page))
        page, asked = program.question(), asked + 1
    job.ended_well(program)
    return asked - 1
