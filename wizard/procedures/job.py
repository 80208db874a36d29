"""What all parts of a procedure share: the facts, and how something is asked. No I/O, no clock."""

from __future__ import annotations

from collections.abc import Generator
from typing import TypeVar

from profiles.machine import Machine
from wizard.facts import Facts, after
from wizard.procedures.screw_pitch import ScrewPitch
from wizard.procedures.touch_worth import Touching
from wizard.requests import AnyAnswer, AnyRequest
from wizard.rounds import Round
from wizard.since import guess
from wizard.solver import expect

T = TypeVar("T")
Steps = Generator[AnyRequest, AnyAnswer, T]
"""A part of a procedure: yields requests, is sent their answers, returns a T."""


class Job:
    """The facts of a running procedure; they change only by `ask`.

    endstop: what the endstop screw is known to do, None before its first turn.
    told_of_motors: the person has been told what the plate's motors do.
    touching: what a touch is worth, where passes are read by the machine's own touch.
    kept_mm: the nozzle height that the machine was told to store, None where none was.
    has_leaves: there are leaves in the profile, and the person has not yet gone without them.
    has_two_cards: the person has not said that there is but one bank card at hand.
    """

    def __init__(self, facts: Facts) -> None:
        self.facts = facts
        self._gaps: tuple[tuple[Round, ...], dict[str, tuple[float, float]]] | None = None
        self._guess: tuple[tuple[Round, ...], dict[str, tuple[float, float]]] | None = None
        self.told_of_motors = False
        self.touching: Touching | None = None
        self.kept_mm: float | None = None
        self.endstop: ScrewPitch | None = None
        self.has_leaves = bool(facts.machine.gauge.leaves_mm)
        self.has_two_cards = True

    @property
    def machine(self) -> Machine:
        """The machine, as its profile describes it."""
        return self.facts.machine

    def ask(self, request: AnyRequest) -> Steps[AnyAnswer]:
        """Ask, fold the answer into the facts, return it."""
        answer = yield request
        self.facts = after(self.facts, request, answer)
        return answer

    def expected(self, point: str) -> tuple[float, float]:
        """Return the gap to expect now at the measuring height and its standard uncertainty, mm."""
        rounds = self.facts.rounds
        if self._gaps is None or self._gaps[0] is not rounds:
            self._gaps = rounds, expect(self.machine, rounds)
        return self._gaps[1][point]

    def guessed(self, point: str) -> tuple[float, float]:
        """Return the likeliest gap and its standard uncertainty, mm: in a recheck also by the run before.

        It says where to look first. How low the nozzle may go `expected` says, which trusts nothing old.
        """
        rounds, base = self.facts.rounds, self.facts.base
        if base is None:
            return self.expected(point)
        if self._guess is None or self._guess[0] is not rounds:
            self._guess = rounds, guess(self.machine, base, rounds)
        return self._guess[1][point]
