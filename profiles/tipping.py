"""How a plate on three supports tips when one of them moves: about the line through the other two. Pure."""

from __future__ import annotations

import msgspec

from profiles.machine import XY, Machine


class Tipping(msgspec.Struct, frozen=True):
    """The line that stays, and the support that moves, in machine coordinates, mm."""

    hinge: tuple[XY, XY]
    at_mm: XY

    def share(self, at_mm: XY) -> float:
        """Return the rise of a place for a rise of 1 at the support; negative on the line's other side."""
        return _lever(self.hinge, at_mm) / _lever(self.hinge, self.at_mm)


def tipping(machine: Machine, adjuster: str | None) -> Tipping | None:
    """Return how the plate tips by this adjuster; None where it does not stand on three supports."""
    places = {each.name: each.at_mm for each in machine.adjuster}
    if len(places) != 3 or adjuster not in places:
        return None
    one, other = (at_mm for name, at_mm in places.items() if name != adjuster)
    found = Tipping((one, other), places[adjuster])
    return found if abs(_lever(found.hinge, found.at_mm)) > 1.0 else None


def _lever(hinge: tuple[XY, XY], at_mm: XY) -> float:
    """Return twice the area between the line and the place, mm2: signed by its side."""
    (x0, y0), (x1, y1) = hinge
    return (x1 - x0) * (at_mm[1] - y0) - (y1 - y0) * (at_mm[0] - x0)
