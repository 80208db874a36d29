"""Flatness by ISO 12781-1 on eight made-up point sets, frozen from two independent programs.

No complete published point set with a published minimum zone could be had, so these were each solved
by a linear-programming solver and by an exact computational-geometry width algorithm (which agree).
Grid of 3 x 3 at -100, 0, 100 mm, rows from y = +100 down, heights in micrometres.
"""

from __future__ import annotations

import numpy as np
import pytest

from wizard.solver.shape import flatness

GRID = np.array([[x, y] for y in (100.0, 0.0, -100.0) for x in (-100.0, 0.0, 100.0)])

# name: heights, total, peak, valley, rms from the least-squares plane; minimum zone
SETS = {
    "saddle": ("50 0 -50 0 0 0 -50 0 50", 100, 50, 50, 33.3333, 100),
    "centre bump": ("0 0 0 0 100 0 0 0 0", 100, 88.8889, 11.1111, 31.4270, 100),
    "mid-edge bump": ("0 0 0 100 0 0 0 0 0", 100, 72.2222, 27.7778, 28.3279, 100),
    "corner bump": ("100 0 0 0 0 0 0 0 0", 83.3333, 55.5556, 27.7778, 24.8452, 75),
    "tilted saddle": ("50 150 250 0 150 300 -50 150 350", 100, 50, 50, 33.3333, 100),
    "mixed, small": ("0 4 6 -5 20 -9 -10 -3 8", 32.3333, 18.7778, 13.5556, 8.2556, 27),
    "mixed, tilted": ("0 120 310 -60 90 250 40 150 420", 140, 76.6667, 63.3333, 46.5872, 120),
    "bowl": ("200 100 200 100 0 100 200 100 200", 200, 66.6667, 133.3333, 66.6667, 200),
}


@pytest.mark.parametrize("name", SETS)
def test_minimum_zone_and_least_squares(name: str):
    text, total, peak, valley, rms, zone = SETS[name]
    form = flatness(GRID, np.array([float(v) for v in text.split()]))
    assert form.total == pytest.approx(total, abs=1e-4)
    assert (form.peak, form.valley) == pytest.approx((peak, valley), abs=1e-4)
    assert form.rms == pytest.approx(rms, abs=1e-4)
    assert form.zone == pytest.approx(zone, abs=1e-9)


def test_the_width_of_a_published_simplex():
    """Vertices (2,0,0), (0,1,0), (0,0,1), (0,0,0): width 2/3, a published example of a geometry library.

    The width is measured across, the zone along the height axis, so the zone's slope turns it back.
    """
    at, z = np.array([[2.0, 0.0], [0.0, 1.0], [0.0, 0.0], [0.0, 0.0]]), np.array([0.0, 0.0, 1.0, 0.0])
    # In the direction of least width (1, 2, 2)/3 the planes are x + 2y + 2z = 0 and = 2: one apart in z.
    assert flatness(at, z).zone * 2.0 / 3.0 == pytest.approx(2.0 / 3.0)
