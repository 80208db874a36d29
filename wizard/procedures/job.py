"""What all parts of a procedure share: the facts, and how something is asked. No I/O, no clock."""

from __future__ import annotations

from collections.abc import Generator
from typing import TypeVar

from profiles.machine import Machine
from wizard.facts import Facts, after
from wizard.requests import AnyAnswer, AnyRequest

T = TypeVar("T")
Steps = Generator[AnyRequest, AnyAnswer, T]
"""A part of a procedure: yields requests, is sent their answers, returns a T."""


class Job:
    """The facts of a running procedure; they change only by `ask`."""

    def __init__(self, facts: Facts) -> None:
        self.facts = facts

    @property
    def machine(self) -> Machine:
        """The machine, as its profile describes it."""
        return self.facts.machine

    def ask(self, request: AnyRequest) -> Steps[AnyAnswer]:
        """Ask, fold the answer into the facts, return it."""
        answer = yield request
        self.facts = after(self.facts, request, answer)
        return answer
