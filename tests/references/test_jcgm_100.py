"""JCGM 100:2008 (Guide to the expression of uncertainty in measurement).

H.3, calibration of a thermometer: data and results as quoted in the documentation of two public
uncertainty libraries (read there; the guide's own page from memory). 4.3.7: a bracket.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from wizard.rounds import Reading
from wizard.solver.brackets import seen
from wizard.solver.leastsquares import least_squares

T = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
B = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160]


def fitted(reference: float) -> tuple[np.ndarray, np.ndarray, float]:
    x = np.column_stack([np.ones(11), np.array(T) - reference])
    fit = least_squares(x, np.array(B))
    variance = fit.misfit / 9
    return fit.solution, fit.covariance * variance, math.sqrt(variance)


def test_h3_intercept_slope_and_their_uncertainties():
    y, covariance, s = fitted(20.0)
    assert y == pytest.approx([-0.171204, 0.0021827], abs=5e-7)
    assert math.sqrt(covariance[0, 0]) == pytest.approx(0.002878, abs=1e-6)
    assert math.sqrt(covariance[1, 1]) == pytest.approx(0.00066793877, abs=1e-10)
    assert covariance[0, 1] / math.sqrt(covariance[0, 0] * covariance[1, 1]) == pytest.approx(
        -0.93043, abs=1e-5
    )
    assert s**2 * 9 == pytest.approx(0.000110096583109, rel=1e-9)


def test_h3_predicted_correction_at_30_degrees():
    y, covariance, _ = fitted(20.0)
    at = np.array([1.0, 10.0])
    assert at @ y == pytest.approx(-0.1494, abs=5e-5)
    assert math.sqrt(at @ covariance @ at) == pytest.approx(0.0041, abs=5e-5)


def test_h3_5_at_the_mean_temperature_nothing_is_correlated():
    _, covariance, _ = fitted(float(np.mean(T)))
    assert covariance[0, 1] == pytest.approx(0.0, abs=1e-15)


@pytest.mark.parametrize(
    ("low", "high", "u"),
    [(0.15, 0.20, 0.014434), (0.10, 0.11, 0.002887), (0.10, 0.12, 0.005774)],
)
def test_4_3_7_a_bracket_has_its_middle_and_its_width_over_the_root_of_twelve(low, high, u):
    bracket = seen(Reading(low, high))
    assert bracket is not None
    assert bracket.middle == pytest.approx((low + high) / 2)
    alone = bracket._replace(hand=0.0)
    assert alone.u == pytest.approx(u, abs=5e-7)
    assert bracket.u == pytest.approx(math.hypot(u, bracket.hand), abs=5e-7)
