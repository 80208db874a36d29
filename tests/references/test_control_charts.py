"""Charts against the NIST/SEMATECH e-Handbook of Statistical Methods (doi 10.18434/M32189)."""

from __future__ import annotations

import math

import pytest

from wizard.drift_chart import D2, D4, individuals, weighted

FLOW = (49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1)
"""6.3.2.2, flow rates of ten batches (data from memory, results as published)."""

LONG = (52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, *FLOW)
"""6.3.2.4, twenty values (verbatim from the page)."""

AVERAGES = (
    *(50.00, 50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33),
    *(50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99),
)


def test_individuals_and_moving_range_as_in_6_3_2_2() -> None:
    chart = individuals(FLOW)
    assert chart.mean == pytest.approx(50.81, abs=5e-3)
    assert chart.mean_range == pytest.approx(1.8778, abs=5e-5)
    assert chart.upper == pytest.approx(55.8041, abs=1e-4)
    assert chart.lower == pytest.approx(45.8159, abs=1e-4)
    assert chart.range_upper == pytest.approx(6.135, abs=1e-3)
    assert chart.out == chart.jumps == ()


def test_exponentially_weighted_average_as_in_6_3_2_4() -> None:
    course = weighted(LONG, 50.0, 2.0539, 0.3)
    assert course.values == pytest.approx(AVERAGES, abs=0.00501)
    assert course.upper == pytest.approx(52.5884, abs=1e-4)
    assert course.lower == pytest.approx(47.4115, abs=1e-4)


def test_the_constants_are_those_of_ranges_of_two() -> None:
    """d2 = 2/sqrt(pi), d3 = sqrt(2 - 4/pi), D4 = 1 + 3 d3/d2: ISO 7870-2's figures to their last digit."""
    d2, d3 = 2.0 / math.sqrt(math.pi), math.sqrt(2.0 - 4.0 / math.pi)
    assert round(d2, 3) == D2
    assert pytest.approx(1.0 + 3.0 * d3 / d2, abs=6e-4) == D4
