"""One-sided and two-sided brackets in one fit, against a maximum-likelihood fit of the same intervals.

Interval-censored regression (in statistics packages: a survival regression with Gaussian errors).
No published worked example could be had, so scipy maximises the exact likelihood here.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.stats import norm, truncnorm

from wizard.solver.brackets import truncated
from wizard.solver.leastsquares import least_squares


def test_closed_brackets_of_equal_width_give_nearly_the_maximum_likelihood_plane():
    rng = np.random.default_rng(5)
    at = rng.uniform(-1.0, 1.0, (40, 2))
    x = np.column_stack([np.ones(40), at])
    z = x @ np.array([0.3, 0.05, -0.08]) + rng.normal(0.0, 0.015, 40)
    low = np.floor(z / 0.05) * 0.05
    high = low + 0.05

    def minus_log_likelihood(p: np.ndarray) -> float:
        mean, s = x @ p[:3], math.exp(p[3])
        return -float(np.log(norm.cdf((high - mean) / s) - norm.cdf((low - mean) / s) + 1e-300).sum())

    exact = minimize(
        minus_log_likelihood,
        [0.3, 0.0, 0.0, math.log(0.02)],
        method="Nelder-Mead",
        options={"maxiter": 6000, "xatol": 1e-8, "fatol": 1e-10},
    )
    ours = least_squares(x, (low + high) / 2.0)
    u = math.hypot(0.05 / math.sqrt(12.0), 0.015) * np.sqrt(np.diagonal(ours.covariance))
    assert np.all(np.abs(ours.solution - exact.x[:3]) < 0.6 * u)


@pytest.mark.parametrize("mean", [-3.0, -0.5, 0.0, 0.4, 2.0])
@pytest.mark.parametrize("u", [0.02, 0.3, 2.0])
def test_a_cut_off_normal_distribution_has_scipys_mean_and_deviation(mean: float, u: float):
    exact = truncnorm((0.5 - mean) / u, np.inf, loc=mean, scale=u)
    if (0.5 - mean) / u < 25.0:
        assert truncated(mean, u, 0.5, math.inf) == pytest.approx((exact.mean(), exact.std()), rel=1e-5)
    mirrored = truncated(-mean, u, -math.inf, -0.5)
    ours = truncated(mean, u, 0.5, math.inf)
    assert mirrored == pytest.approx((-ours[0], ours[1]))
