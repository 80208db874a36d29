"""What a recheck compares with: the last proven run of the same machine. A frozen value. Pure."""

from __future__ import annotations

import msgspec

from wizard.rounds import Round


class Base(msgspec.Struct, frozen=True):
    """A proven run: its id, when it ended (UTC, ISO 8601), how long ago that was, all its rounds.

    nozzle: what the person called the nozzle that was in use; "" where nothing was said.
    """

    run: str
    at: str
    days: float
    rounds: tuple[Round, ...]
    nozzle: str = ""
