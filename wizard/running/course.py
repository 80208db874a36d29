"""A procedure under way, with the facts that follow from its answers. No I/O, no clock.

Taking a job up again and taking an answer back are the same act: `replay` runs the procedure over
the answers that were given. A replay asks nobody and moves nothing.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Generator, Iterable

import msgspec

from wizard.facts import Facts, after
from wizard.journal.lines import Step
from wizard.requests import AnyAnswer, AnyRequest, Outcome

Procedure = Generator[AnyRequest, AnyAnswer, Outcome]
MakeProcedure = Callable[[Facts], Procedure]

SAME_NUMBER = 1e-6
"""Numbers of a request count as the same within this (mm, turns, degrees): less than anyone can set."""


class ReplayError(Exception):
    """The journal does not fit the procedure: it was written by another version of the program."""


class Course:
    """One run of a procedure: `pending` is the request to be answered now, None once it has ended."""

    def __init__(self, procedure: MakeProcedure, facts: Facts) -> None:
        self.facts = facts
        self.pending: AnyRequest | None = None
        self.outcome: Outcome | None = None
        self._generator = procedure(facts)
        self._advance(None)

    def take(self, answer: AnyAnswer) -> None:
        """Fold `answer` to the pending request into the facts and go on to the next request."""
        if self.pending is None:
            raise ValueError("the procedure has ended; no answer is wanted")
        self.facts = after(self.facts, self.pending, answer)
        self._advance(answer)

    def _advance(self, answer: AnyAnswer | None) -> None:
        try:
            self.pending = next(self._generator) if answer is None else self._generator.send(answer)
        except StopIteration as end:
            self.pending, self.outcome = None, end.value


def replay(procedure: MakeProcedure, facts: Facts, steps: Iterable[Step]) -> Course:
    """Return the course once all `steps` are answered. Raises ReplayError where they do not fit."""
    course = Course(procedure, facts)
    for number, step in enumerate(steps, 1):
        if course.pending is None or not same_request(course.pending, step.request):
            raise ReplayError(_misfit(number, course.pending, step.request))
        course.take(step.answer)
    return course


def _misfit(number: int, asks: AnyRequest | None, written: AnyRequest) -> str:
    now = type(asks).__name__ if asks else "nothing"
    return (
        f"step {number} of the journal answers {type(written).__name__} where this version of the program "
        f"asks for {now}: it was written by another version and cannot be taken up; begin a new run"
    )


def same_request(one: AnyRequest, other: AnyRequest) -> bool:
    """Tell whether two requests ask for the same. What a finding says beside the request is left out."""
    return _same(_bare(one), _bare(other))


def _bare(request: AnyRequest) -> object:
    built = msgspec.to_builtins(request)
    return {key: value for key, value in built.items() if key != "finding"}


def _same(one: object, other: object) -> bool:
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(_same(one[key], other[key]) for key in one)
    if isinstance(one, list | tuple) and isinstance(other, list | tuple):
        return len(one) == len(other) and all(map(_same, one, other))
    if isinstance(one, float | int) and isinstance(other, float | int):
        return math.isclose(one, other, rel_tol=0.0, abs_tol=SAME_NUMBER)
    return one == other
