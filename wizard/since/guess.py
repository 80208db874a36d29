"""Where each gap stands most likely now, by all that may have happened since the proven run.

For choosing where to look first, never for how low the nozzle may go.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from profiles.machine import Machine
from wizard.base import Base
from wizard.rounds import Round
from wizard.since.weigh import usable, weigh
from wizard.solver import state as model
from wizard.solver.state import State


def guess(machine: Machine, base: Base, rounds: Sequence[Round]) -> dict[str, tuple[float, float]]:
    """Return the gap at each point and its standard uncertainty, mm: mean and spread over all stories.

    The first round weighs the stories; what was turned, set and read after it is followed by each of them.
    """
    told = weigh(machine, base, rounds[0] if rounds else Round())
    states = [_followed(one.state, rounds) for one in told]
    weights = np.array([one.weight for one in told])
    gaps = np.array([state.gaps for state in states])
    mean = weights @ gaps
    u = np.sqrt(weights @ (np.array([state.u for state in states]) ** 2 + (gaps - mean) ** 2))
    names = states[0].layout.points
    return {name: (float(mean[i]), float(u[i])) for i, name in enumerate(names)}


def _followed(state: State, rounds: Sequence[Round]) -> State:
    """Return the state after the first round's turns, and after each later round."""
    for nth, one in enumerate(rounds):
        if nth and (brackets := usable(state.layout, one)):
            state = model.read(state, brackets)
        turns = np.array([one.turned.get(name, 0.0) for name in state.layout.adjusters])
        state = model.raised(model.turned(state, turns), one.height_change_mm, one.height_u_mm)
    return state
