"""The order in which points are visited."""

from __future__ import annotations

from itertools import pairwise
from math import dist

from hypothesis import given
from hypothesis import strategies as st

from profiles.machine import Machine, Point
from wizard.procedures.route import route

places = st.tuples(st.floats(0, 220), st.floats(0, 220))
some_points = st.lists(places, min_size=1, max_size=12, unique=True).map(
    lambda at: tuple(Point(name=f"p{i}", at_mm=xy) for i, xy in enumerate(at))
)


def way_mm(way: tuple[Point, ...]) -> float:
    return sum(dist(a.at_mm, b.at_mm) for a, b in pairwise(way))


@given(some_points, st.integers(1, 8))
def test_every_round_visits_every_point_once(points: tuple[Point, ...], number: int) -> None:
    assert sorted(p.name for p in route(points, number)) == sorted(p.name for p in points)


@given(some_points, st.integers(1, 8))
def test_the_next_round_goes_another_way(points: tuple[Point, ...], number: int) -> None:
    one, other = route(points, number), route(points, number + 1)
    assert one == other[::-1]
    assert len(points) < 2 or one != other


@given(some_points.filter(lambda points: len(points) <= 8))
def test_few_points_are_visited_on_no_longer_a_way_than_the_profile_lists_them(
    points: tuple[Point, ...],
) -> None:
    way = route(points, 1)
    assert way[0] == points[0]
    assert way_mm(way) <= way_mm(points) + 1e-5


def test_between_ways_of_equal_length_the_profiles_own_order_is_kept(four_corners: Machine) -> None:
    corners = four_corners.point[:4]
    assert route(corners, 1) == corners
