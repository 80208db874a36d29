"""Points that only prove do not count before they are read.

Were they counted unread, a turn would wait for what nobody has looked at, though the nozzle comes down over
them only when all others are within, and then as over a point that was never read. Nothing is proven before:
a verification is whole only with them.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import msgspec

from profiles.machine import Machine
from wizard.rounds import Round


def unread(machine: Machine, rounds: Sequence[Round]) -> tuple[str, ...]:
    """Return the points that only prove and that no round has read."""
    only = [point.name for point in machine.point if point.only is not None]
    return tuple(name for name in only if all(name not in done.readings for done in rounds)) if only else ()


def without(machine: Machine, names: tuple[str, ...]) -> Machine:
    """Return the machine without some of its points."""
    return _without(machine, names) if names else machine


@lru_cache(maxsize=16)
def _without(machine: Machine, names: tuple[str, ...]) -> Machine:
    left = tuple(point for point in machine.point if point.name not in names)
    return msgspec.structs.replace(machine, point=left)
