"""Machines to plan a check print for: the shipped ones, and round plates made up in code."""

from __future__ import annotations

import pytest

from profiles.load import load, shipped
from profiles.machine import Bed, FirstLayer, Height, Machine, Motion, Point
from profiles.printed import KeepOut, Print

PARTS = Print(nozzle_mm=0.4, line_width_mm=0.44, nozzle_c=205.0, bed_c=60.0)


def round_machine(radius_mm: float = 90.0, points=((0.0, 60.0), (-52.0, -30.0), (52.0, -30.0)), part=PARTS):
    """A round plate about the origin."""
    return Machine(
        name="round",
        bed=Bed(shape="round", diameter_mm=2 * radius_mm),
        motion=Motion(x_mm=(-radius_mm, radius_mm), y_mm=(-radius_mm, radius_mm), z_mm=(0, 200)),
        first_layer=FirstLayer(height_mm=0.2, gap_mm=0.15, tolerance_mm=0.05),
        height=Height(by="operator"),
        point=tuple(Point(name=f"p{n}", at_mm=at) for n, at in enumerate(points)),
        print=part,
    )


MACHINES = {name: load(name) for name in shipped()} | {
    "round": round_machine(),
    "round, points at the rim": round_machine(
        points=((0.0, 88.0), (-70.0, -50.0), (70.0, -50.0), (0.0, 0.0))
    ),
    "round, clip in front": round_machine(
        part=Print(
            nozzle_mm=0.4,
            line_width_mm=0.4,
            nozzle_c=205.0,
            keep_out=(KeepOut(x_mm=(-90.0, 90.0), y_mm=(-90.0, -45.0)),),
        )
    ),
}


@pytest.fixture(params=sorted(MACHINES))
def machine(request: pytest.FixtureRequest) -> Machine:
    """Each machine."""
    return MACHINES[request.param]


@pytest.fixture(scope="session")
def made_round():
    """The maker of round machines."""
    return round_machine
