"""What a recheck compares with: the last proven run of the same machine. A frozen value. Pure."""

from __future__ import annotations

import msgspec

from profiles.grid import GridValue
from wizard.rounds import Round


class Base(msgspec.Struct, frozen=True):
    """A proven run: its id, when it ended (UTC, ISO 8601), how long ago that was, all its rounds.

    nozzle: what the person called the nozzle that was in use; "" where nothing was said.
    probe_offset_mm, probe_u_mm: what a gauge found a gap to be beyond what a touch tells; None: not compared.
    followed: the machine followed a grid of its own, with these numbers (none: it found them by itself).
    """

    run: str
    at: str
    days: float
    rounds: tuple[Round, ...]
    nozzle: str = ""
    probe_offset_mm: float | None = None
    probe_u_mm: float = 0.0
    followed: bool = False
    grid: tuple[GridValue, ...] = ()
