"""What a procedure comes to. A frozen value."""

from __future__ import annotations

import msgspec

from wizard.solver.finding import Finding


class Outcome(msgspec.Struct, frozen=True):
    """What a procedure returns: the last finding, how many rounds, whether a whole pass proved it."""

    finding: Finding | None
    rounds: int
    proven: bool
