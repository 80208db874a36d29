"""What is known of the gaps now, as a finding that the rest of the program understands."""

from __future__ import annotations

import numpy as np

from profiles.machine import Machine
from wizard.solver.finding import Finding, PointFinding, Status
from wizard.solver.leastsquares import Array
from wizard.solver.shape import shape_of
from wizard.solver.state import State
from wizard.solver.verdict import verdict

LEAST_MM = 0.005
"""A height that is off by less is not worth setting."""


def finding_of(machine: Machine, state: State, set_mm: float | None) -> Finding:
    """Return the finding; `set_mm` is how far the nozzle is to be raised, None where nothing is to be set."""
    layout = state.layout
    off = state.gaps - layout.target_mm
    said = verdict(off, state.u, layout.tolerance_mm)
    turns = common_turns(state, set_mm or 0.0)
    rise = state.effect @ np.array([turns.get(name, 0.0) for name in layout.adjusters])
    raised_mm = (set_mm or 0.0) if layout.height_apart else 0.0
    status: Status = "level" if said == "within" else "turn" if set_mm is not None else "measure-again"
    return Finding(
        verdict=said,
        status=status,
        turns=turns,
        height_change_mm=set_mm if layout.height_apart else None,
        points={
            name: PointFinding(
                gap_mm=float(state.gaps[i]),
                u_mm=float(state.u[i]),
                deviation_mm=float(off[i]),
                predicted_mm=float(state.gaps[i] - rise[i] + raised_mm),
            )
            for i, name in enumerate(layout.points)
        },
        shape=shape_of(layout.at, state.gaps),
    )


def common_turns(state: State, set_mm: float) -> dict[str, float]:
    """Return the turns that lower the whole plate by `set_mm`, where the bed's own adjusters set the height.

    All adjusters together, each rounded to its step; empty where the height is set apart.
    """
    layout = state.layout
    if layout.height_apart or abs(set_mm) < LEAST_MM or not len(layout.adjusters):
        return {}
    turns: Array = np.round(-set_mm / state.mm_per_turn / layout.step) * layout.step
    return {name: float(t) for name, t in zip(layout.adjusters, turns, strict=True) if t}
