"""Which way a plate on three supports tips."""

from __future__ import annotations

import numpy as np
import pytest

from profiles.load import load
from profiles.tipping import tipping

MACHINE = load("three-point-225")


@pytest.mark.parametrize("name", [each.name for each in MACHINE.adjuster])
def test_a_place_rises_as_the_plane_through_the_three_supports_does(name: str) -> None:
    """Against the plane solved through the three supports, one of them raised by 1."""
    tips = tipping(MACHINE, name)
    assert tips is not None
    at = np.array([[1.0, *each.at_mm] for each in MACHINE.adjuster])
    plane = np.linalg.solve(at, [1.0 if each.name == name else 0.0 for each in MACHINE.adjuster])
    for place in ((0.0, 0.0), (225.0, 225.0), (35.0, 190.0), (112.5, 112.5)):
        assert tips.share(place) == pytest.approx(float(plane @ (1.0, *place)))


def test_four_supports_have_no_such_line() -> None:
    assert tipping(load("four-corner-220"), "front left") is None
    assert tipping(MACHINE, None) is None
