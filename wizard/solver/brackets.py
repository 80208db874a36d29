"""What a bracket tells: mean and standard uncertainty, what several brackets of one gap tell together,
and one-sided brackets as truncated normal distributions.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from wizard.rounds import Reading
from wizard.solver import priors

_ROOT_12 = math.sqrt(12.0)
LIMIT_MM = 100.0  # readings beyond this are mistakes, not gaps


class Seen(NamedTuple):
    """A usable bracket of one gap, mm. `low` or `high` may be infinite; `hand` is its repeatability.

    clash: the brackets that were put together have nothing in common; then it is the middle between them.
    """

    low: float
    high: float
    hand: float
    clash: bool = False

    @property
    def closed(self) -> bool:
        """Whether both sides are known."""
        return -math.inf < self.low and self.high < math.inf

    def lifted(self, nozzle_mm: float) -> Seen:
        """Return the same bracket for a nozzle that stands higher."""
        return self._replace(low=self.low + nozzle_mm, high=self.high + nozzle_mm)

    @property
    def middle(self) -> float:
        """Best estimate of a closed bracket (JCGM 100, 4.3.7)."""
        return (self.low + self.high) / 2.0

    @property
    def u(self) -> float:
        """Standard uncertainty of a closed bracket: width / sqrt(12), joined with the repeatability."""
        return math.hypot((self.high - self.low) / _ROOT_12, self.hand)


def seen(reading: Reading) -> Seen | None:
    """Return the usable bracket of a reading; None where it tells nothing or cannot be."""
    low = -math.inf if reading.low_mm is None else reading.low_mm
    high = math.inf if reading.high_mm is None else reading.high_mm
    if -LIMIT_MM <= low <= high <= LIMIT_MM:
        return Seen(low, high, priors.HAND_MM[reading.how])
    if math.isnan(low) or math.isnan(high) or low > high or low > LIMIT_MM or high < -LIMIT_MM:
        return None
    low, high = (v if abs(v) <= LIMIT_MM else math.copysign(math.inf, v) for v in (low, high))
    if math.isinf(low) and math.isinf(high):
        return None
    return Seen(low, high, priors.HAND_MM[reading.how])


def together(first: Seen, second: Seen) -> Seen:
    """Return what two brackets of the same gap tell together.

    The same leaves at the same place give the same bracket again, so two brackets are not two
    independent measurements of it: what they have in common is kept.
    """
    low, high = max(first.low, second.low), min(first.high, second.high)
    hand = 1.0 / math.hypot(1.0 / first.hand, 1.0 / second.hand)  # two placements of the hand are independent
    if low <= high:
        return Seen(low, high, hand, first.clash or second.clash)
    # They miss each other by less than the hand's repeatability now and then: the gap is at the meeting edge.
    return Seen(high, low, hand, clash=low - high > 4.0 * hand)


def truncated(mean: float, u: float, low: float, high: float) -> tuple[float, float]:
    """Return mean and standard deviation of a normal distribution cut off outside [low, high].

    One side is infinite. Far out in the tail the asymptotic form is used, so any input gives numbers.
    """
    if math.isinf(high):
        shift, width = _upper(mean, u, low)
        return mean + shift, width
    shift, width = _upper(-mean, u, -high)
    return mean - shift, width


def _upper(mean: float, u: float, low: float) -> tuple[float, float]:
    a = (low - mean) / u
    if a > 25.0:
        hazard, variance = a + 1.0 / a, 1.0 / (a * a)
    elif a < -25.0:
        hazard, variance = 0.0, 1.0
    else:
        hazard = math.exp(-a * a / 2.0) / math.sqrt(2.0 * math.pi) / (0.5 * math.erfc(a / math.sqrt(2.0)))
        variance = max(1.0 - hazard * (hazard - a), 1e-6)
    return u * hazard, u * math.sqrt(variance)
