"""How much less than expected a gap may be, should one of the last changes have gone the other way.

Each change of the last round made the other way is one hypothesis; what it makes of every point is known
before anything is read. A reading after the change that lies far from what a hypothesis says refutes it.
"""

from __future__ import annotations

from collections.abc import Mapping

import msgspec

from profiles.machine import Machine
from wizard.rounds import Reading, Round
from wizard.solver import expect

REFUTED = 4.0
"""Standard uncertainties from which on a reading refutes what a hypothesis has foretold."""

Expected = dict[str, tuple[float, float]]


class Doubts:
    """What is expected after the last of the rounds, and what if one of its changes went the other way."""

    def __init__(self, machine: Machine, rounds: tuple[Round, ...]) -> None:
        self._told: Expected = expect(machine, rounds) if rounds else {}
        others = _other_ways(rounds[-1]) if rounds else []
        self._others = [expect(machine, (*rounds[:-1], other)) for other in others]

    def mm(self, point: str, since: Mapping[str, Reading]) -> float:
        """Return by how much the gap would be smaller, given the readings since the change, by point.

        Only what makes the gap smaller is counted, each change by itself, so that the worst mix is covered.
        """
        falls = [
            self._told[point][0] - other[point][0]
            for other in self._others
            if point in other and not _refuted(other, since)
        ]
        return sum(fall for fall in falls if fall > 0.0)


def _refuted(foretold: Expected, since: Mapping[str, Reading]) -> bool:
    """Tell whether a reading lies farther off than a hypothesis allows."""
    for point, reading in since.items():
        gap_mm, u_mm = foretold.get(point, (0.0, float("inf")))
        if reading.low_mm is not None and gap_mm + REFUTED * u_mm < reading.low_mm:
            return True
        if reading.high_mm is not None and gap_mm - REFUTED * u_mm > reading.high_mm:
            return True
    return False


def _other_ways(last: Round) -> list[Round]:
    """Return the last round with one of its changes made the other way, for each change."""
    ways = [
        msgspec.structs.replace(last, turned={**last.turned, name: -turns})
        for name, turns in last.turned.items()
        if turns
    ]
    if last.height_change_mm:
        ways.append(msgspec.structs.replace(last, height_change_mm=-last.height_change_mm))
    return ways
