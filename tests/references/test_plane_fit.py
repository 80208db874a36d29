"""Two regressors and an intercept: a plane fit with 31 rows, published.

Ryan, Joiner and Ryan, Minitab Student Handbook, 1976 (31 trees: girth, height, volume); coefficients
and deviations as printed by a public statistics package, read in two published notebooks.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from wizard.solver.leastsquares import least_squares

ROWS = """8.3,70,10.3;8.6,65,10.3;8.8,63,10.2;10.5,72,16.4;10.7,81,18.8;10.8,83,19.7;11.0,66,15.6;
11.0,75,18.2;11.1,80,22.6;11.2,75,19.9;11.3,79,24.2;11.4,76,21.0;11.4,76,21.4;11.7,69,21.3;12.0,75,19.1;
12.9,74,22.2;12.9,85,33.8;13.3,86,27.4;13.7,71,25.7;13.8,64,24.9;14.0,78,34.5;14.2,80,31.7;14.5,74,36.3;
16.0,72,38.3;16.3,77,42.6;17.3,81,55.4;17.5,82,55.7;17.9,80,58.3;18.0,80,51.5;18.0,80,51.0;20.6,87,77.0"""


def test_the_plane_through_31_points():
    rows = np.array([[float(v) for v in row.split(",")] for row in ROWS.split(";")])
    assert rows.shape == (31, 3)
    fit = least_squares(np.column_stack([np.ones(31), rows[:, :2]]), rows[:, 2])
    s = math.sqrt(fit.misfit / 28)
    assert fit.solution == pytest.approx([-57.9877, 4.7082, 0.3393], abs=5e-5)
    assert s * np.sqrt(np.diagonal(fit.covariance)) == pytest.approx([8.6382, 0.2643, 0.1302], abs=5e-5)
    assert s == pytest.approx(3.882, abs=5e-4)
    total = float(((rows[:, 2] - rows[:, 2].mean()) ** 2).sum())
    assert 1.0 - fit.misfit / total == pytest.approx(0.948, abs=5e-4)
