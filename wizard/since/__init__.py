"""What has changed since the last proven run: stories weighed by a few readings. Pure numpy.

numpy is loaded at the first call, so that commands which do not compute start at once.
"""

from __future__ import annotations

from collections.abc import Sequence

from profiles.machine import Machine
from wizard.base import Base
from wizard.rounds import Round
from wizard.since.change import Change

__all__ = ["Change", "guess", "judge", "next_point", "settled"]


def judge(machine: Machine, base: Base, readings: Round, *, final: bool = False) -> Change | None:
    """Return what has changed by the readings of one round; None while they do not decide it.

    final: no more can be read, the likeliest story is taken.
    """
    from wizard.since.decide import judge as decided

    return decided(machine, base, readings, final=final)


def next_point(machine: Machine, base: Base, readings: Round) -> str | None:
    """Return the point whose reading tells most now; None where all have been read."""
    from wizard.since.choose import next_point as chosen

    return chosen(machine, base, readings)


def settled(machine: Machine, base: Base, rounds: Sequence[Round], change: Change) -> Change:
    """Return the change once the nozzle height was set: what is known after all rounds since the base."""
    from wizard.since.after import settled as after

    return after(machine, base, rounds, change)


def guess(machine: Machine, base: Base, rounds: Sequence[Round]) -> dict[str, tuple[float, float]]:
    """Return the likeliest gap at each point now and its standard uncertainty, mm; not for safety."""
    from wizard.since.guess import guess as guessed

    return guessed(machine, base, rounds)
