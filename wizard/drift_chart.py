"""Individuals and moving-range charts, and the exponentially weighted mean. Pure arithmetic, no numpy.

Constants for ranges of two, ISO 7870-2: d2 = 2/sqrt(pi) = 1.128; the moving range's upper limit is
D4 = 3.267 times its mean. Checked against the NIST/SEMATECH e-Handbook, 6.3.2.2 and 6.3.2.4.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

D2 = 1.128
D4 = 3.267
LIMIT = 3.0
"""Standard deviations from the mean to a limit, as in the charts of the standard."""


class Individuals(NamedTuple):
    """A chart of single values: centre and limits, mean moving range and its upper limit, what is outside.

    out: places of values beyond the limits; jumps: of values that follow a moving range beyond its limit.
    """

    mean: float
    lower: float
    upper: float
    mean_range: float
    range_upper: float
    out: tuple[int, ...]
    jumps: tuple[int, ...]


def individuals(values: Sequence[float]) -> Individuals:
    """Return the chart. Raises ValueError for fewer than two values, which have no moving range."""
    if len(values) < 2:
        raise ValueError("a moving range takes two values")
    ranges = [abs(b - a) for a, b in pairwise(values)]
    mean, mean_range = sum(values) / len(values), sum(ranges) / len(ranges)
    reach, range_upper = LIMIT * mean_range / D2, D4 * mean_range
    return Individuals(
        mean,
        mean - reach,
        mean + reach,
        mean_range,
        range_upper,
        tuple(i for i, v in enumerate(values) if abs(v - mean) > reach),
        tuple(i for i, r in enumerate(ranges, 1) if r > range_upper),
    )


class Weighted(NamedTuple):
    """An exponentially weighted mean with its limits; `values` begins with the target."""

    values: tuple[float, ...]
    lower: float
    upper: float


def weighted(values: Sequence[float], target: float, sigma: float, weight: float = 0.3) -> Weighted:
    """Return the exponentially weighted moving average and its limits for a long series."""
    course = [target]
    for value in values:
        course.append(weight * value + (1.0 - weight) * course[-1])
    reach = LIMIT * sigma * (weight / (2.0 - weight)) ** 0.5
    return Weighted(tuple(course), target - reach, target + reach)
