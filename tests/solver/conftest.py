"""Made-up machines for the solver's tests."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from profiles.machine import Adjuster, Bed, FirstLayer, Gauge, Height, Machine, Motion, Point

CORNERS = {
    "front left": (30.0, 30.0),
    "front right": (190.0, 30.0),
    "back left": (30.0, 190.0),
    "back right": (190.0, 190.0),
}


def make(**changes: Any) -> Machine:
    """Return a machine with four held screws, a point over each, changed as told."""
    parts: dict[str, Any] = {
        "name": "made up",
        "bed": Bed(size_mm=(220.0, 220.0), mount="held"),
        "motion": Motion(x_mm=(0.0, 220.0), y_mm=(0.0, 220.0), z_mm=(0.0, 240.0)),
        "first_layer": FirstLayer(height_mm=0.20, gap_mm=0.15, tolerance_mm=0.05),
        "height": Height(by="bed adjusters"),
        "gauge": Gauge(leaves_mm=tuple(round(0.05 * i, 2) for i in range(1, 21)), card_mm=0.10),
        "adjuster": tuple(
            Adjuster(name=name, at_mm=at, thread="M3", clockwise="lowers") for name, at in CORNERS.items()
        ),
        "point": tuple(Point(name=name, at_mm=at) for name, at in CORNERS.items()),
    }
    return Machine(**{**parts, **changes})


@pytest.fixture
def machine() -> Callable[..., Machine]:
    """Make a machine: four held screws with a point over each, changed as told."""
    return make
