"""In which order the points are visited: a short way, and another order for every further pass."""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise, permutations
from math import dist

from profiles.machine import Point

ALL_ORDERS_UP_TO = 7
"""So many points after the first have 5040 orders, which are tried once; more go to the nearest next."""


def route(points: tuple[Point, ...], round_number: int) -> tuple[Point, ...]:
    """Return the points in the order of a round: the short way, every other round from its far end."""
    way = _short_way(points)
    return way if round_number % 2 else way[::-1]


@lru_cache(maxsize=16)
def _short_way(points: tuple[Point, ...]) -> tuple[Point, ...]:
    """Return a short open way through all points that begins at the profile's first."""
    if len(points) < 3:
        return points
    first, rest = points[0], points[1:]
    if len(rest) <= ALL_ORDERS_UP_TO:
        return min(((first, *order) for order in permutations(rest)), key=_length_mm)
    return _nearest_next(first, rest)


def _length_mm(way: tuple[Point, ...]) -> float:
    """Return the length, rounded so that of equal ways the profile's own order is kept."""
    return round(sum(dist(a.at_mm, b.at_mm) for a, b in pairwise(way)), 6)


def _nearest_next(first: Point, rest: tuple[Point, ...]) -> tuple[Point, ...]:
    way, left = [first], list(rest)
    while left:
        here = way[-1].at_mm
        nearest = min(left, key=lambda point: dist(here, point.at_mm))
        left.remove(nearest)
        way.append(nearest)
    return tuple(way)
