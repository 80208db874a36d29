"""The solver: rounds of readings in, a finding out. Pure numpy, one linear model.

numpy is loaded at the first call, so that commands which do not compute start at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from importlib import import_module

from profiles.machine import Machine
from wizard.rounds import Round
from wizard.solver.finding import Finding, Limits

__all__ = ["cannot_agree", "expect", "load", "solve"]


def load() -> None:
    """Load numpy and all that computes, so that the first call need not. Takes some tenths of a second."""
    import_module("wizard.solver.whole")


def solve(machine: Machine, rounds: Sequence[Round]) -> Finding:
    """Return what the rounds say about the machine's bed and what to do next.

    Never raises on any rounds: what cannot be used is a finding.
    """
    from wizard.solver.whole import solve as whole

    return whole(machine, rounds)


def expect(machine: Machine, rounds: Sequence[Round]) -> dict[str, tuple[float, float]]:
    """Return the gap to expect now at each point, at the measuring height, with its standard uncertainty, mm.

    With no rounds this is what is known before any reading. Never raises.
    """
    from wizard.solver.whole import expect as whole

    return whole(machine, rounds)


def cannot_agree(machine: Machine) -> Limits | None:
    """Return why steps, gauge and tolerance cannot be reconciled, before any reading; None where they can."""
    from wizard.solver.reach import agree, limits_of

    limits = limits_of(machine)
    return None if agree(limits) else limits
