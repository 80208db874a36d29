"""How much higher than where it was read a plate may stand that nobody has levelled."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.checks import CLEAR_OVER_MEASURING_MM
from profiles.load import load, shipped
from profiles.machine import Machine, Point
from wizard.procedures.unlevelled import BENT_MM, TILT_MM, highest_mm, rise_mm

MACHINES = tuple(load(name) for name in shipped())


def places(machine: Machine) -> dict[str, tuple[float, float]]:
    """Return where each point lies between the outermost ones, -1 to 1 along each axis."""
    axes = [[point.at_mm[axis] for point in machine.point] for axis in (0, 1)]
    middle = [(max(along) + min(along)) / 2.0 for along in axes]
    half = [(max(along) - min(along)) / 2.0 for along in axes]
    return {
        p.name: ((p.at_mm[0] - middle[0]) / half[0], (p.at_mm[1] - middle[1]) / half[1])
        for p in machine.point
    }


@given(
    machine=st.sampled_from(MACHINES),
    share=st.floats(0.0, 1.0),
    signs=st.sampled_from(list(product((-1.0, 1.0), repeat=2))),
    bow_mm=st.floats(-0.1, 0.1),
    off_mm=st.floats(-0.1, 0.1),
)
def test_no_plate_tilted_by_two_millimetres_from_corner_to_corner_rises_by_more(
    machine: Machine, share: float, signs: tuple[float, float], bow_mm: float, off_mm: float
) -> None:
    """However the tilt is shared between the axes, a little bowed and twisted besides (common practice)."""
    along_x, along_y = signs[0] * share, signs[1] * (1.0 - share)
    height = {
        name: along_x * u + along_y * v + bow_mm * (u * u + v * v) + off_mm * u * v
        for name, (u, v) in places(machine).items()
    }
    for read, other in product(machine.point, repeat=2):
        assert height[other.name] - height[read.name] <= rise_mm(machine, read, other)


@pytest.mark.parametrize("name", ["four-corner-220", "three-point-225", "touch-probe-255"])
def test_one_screw_two_millimetres_off_the_others_is_covered_from_the_middle(name: str) -> None:
    """Three corners alike, one 2 mm higher: the middle of a plate held at its corners rises by a quarter."""
    machine = load(name)
    assert rise_mm(machine, machine.point_named("centre"), machine.point[0]) >= 1.5


def test_the_rise_grows_with_the_distance_and_is_the_same_both_ways() -> None:
    machine = load("four-corner-220")
    corner, middle, edge = (machine.point_named(n) for n in ("front left", "centre", "front middle"))
    assert rise_mm(machine, corner, corner) == BENT_MM
    assert rise_mm(machine, corner, middle) == rise_mm(machine, middle, corner)
    assert rise_mm(machine, corner, edge) == pytest.approx(TILT_MM / 2.0 + BENT_MM)
    assert rise_mm(machine, corner, machine.point_named("back left")) == pytest.approx(TILT_MM + BENT_MM)


def test_over_the_first_point_of_all_it_counts_from_the_farthest_end_where_the_axes_may_have_been_homed() -> (
    None
):
    machine = load("four-corner-220")
    assert highest_mm(machine, machine.point_named("front left")) == pytest.approx(TILT_MM + BENT_MM)
    assert highest_mm(machine, machine.point_named("centre")) == pytest.approx(TILT_MM / 2.0 + BENT_MM)


def test_points_all_in_one_row_are_no_trouble() -> None:
    machine = load("four-corner-220")
    row = (Point(name="a", at_mm=(10.0, 50.0)), Point(name="b", at_mm=(90.0, 50.0)))
    machine = type(machine)(**{f: getattr(machine, f) for f in machine.__struct_fields__} | {"point": row})
    assert rise_mm(machine, row[0], row[1]) == pytest.approx(TILT_MM + BENT_MM)


def test_a_profile_s_clearance_is_above_what_a_plate_can_rise_to() -> None:
    """Sideways over a plate that nobody has levelled, and down to a first stop from there."""
    for machine in MACHINES:
        over_mm = machine.motion.clearance_mm - machine.measuring_height_mm
        assert over_mm >= CLEAR_OVER_MEASURING_MM >= TILT_MM + BENT_MM
