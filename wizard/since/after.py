"""After the nozzle height was set: what the old readings and the new ones say together."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec
import numpy as np

from profiles.machine import Machine
from wizard.base import Base
from wizard.rounds import Round
from wizard.since.change import Change
from wizard.since.known import finding_of
from wizard.since.stories import stories
from wizard.since.weigh import base_state, spread_by, usable
from wizard.solver import state as model
from wizard.solver.evidence import evidence
from wizard.solver.layout import layout_of

FITS = 3.0
"""Normal deviate up to which a reading after the change fits what was expected."""


def settled(machine: Machine, base: Base, rounds: Sequence[Round], change: Change) -> Change:
    """Return the change with the gaps as all rounds since the base tell them; see `wizard.since.settled`.

    Where the readings after the setting do not fit what was set, the kind is "wrong".
    """
    layout = layout_of(machine)
    state = spread_by(base_state(machine, base), stories(layout, [])[0].spread)
    kind = change.kind
    for nth, one in enumerate(rounds):
        brackets = usable(layout, one)
        if brackets:
            if nth and evidence(state, brackets).surprise > FITS:
                kind = "wrong"
            state = model.read(state, brackets)
        turns = np.array([one.turned.get(name, 0.0) for name in layout.adjusters])
        state = model.raised(model.turned(state, turns), one.height_change_mm, one.height_u_mm)
    finding = finding_of(machine, state, None)
    return msgspec.structs.replace(change, kind=kind, finding=finding, done=True, set_mm=0.0)
