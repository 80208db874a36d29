"""What a touch is worth: how well it repeats, what it is off by, how well that is known. Pure."""

from __future__ import annotations

import math

import msgspec

TIMES = 2
"""Each point is touched so often; the mean counts."""

PLACE_MM = 0.002
"""How much the plate differs between where it is touched and where the nozzle is: no source."""

OWN_MM = 0.005
"""How far card or leaf may be off themselves: no comparison by the same one tells (no source)."""

APART = 3.0
"""Standard uncertainties by which two comparisons may differ before something must have changed between."""


class Touching(msgspec.Struct, frozen=True):
    """What a touch is worth: its standard deviation, the probe offset, that one's uncertainty, mm."""

    sd_mm: float
    offset_mm: float
    offset_u_mm: float

    @property
    def u_mm(self) -> float:
        """Standard uncertainty of the mean of a point's touches, without that of the offset."""
        return math.hypot(self.sd_mm / math.sqrt(TIMES), PLACE_MM)

    def joined(self, other: Touching) -> Touching:
        """Return both comparisons as one; where they cannot both be true, the newer one."""
        apart_mm = abs(self.offset_mm - other.offset_mm)
        if apart_mm > APART * math.hypot(self.offset_u_mm, other.offset_u_mm):
            return other
        one, two = self.offset_u_mm**-2, other.offset_u_mm**-2
        offset_mm = (self.offset_mm * one + other.offset_mm * two) / (one + two)
        return Touching(self.sd_mm, round(offset_mm, 4), round(max((one + two) ** -0.5, OWN_MM), 4))
