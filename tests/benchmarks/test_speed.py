"""How long a solve takes. Printed, never asserted; run it alone on an idle machine:

    pytest -o addopts="--import-mode=importlib -p no:cacheprovider" tests/benchmarks/test_speed.py

Aims: 4 adjusters, 9 points, 5 rounds under 2 ms in the median; 6 x 25 x 10 under 20 ms; the minimum
zone of 25 points no slower than one call of a linear-programming solver.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import linprog

from profiles.machine import Adjuster, Bed, FirstLayer, Gauge, Height, Machine, Motion, Point
from wizard.rounds import Reading, Round
from wizard.solver import expect, solve
from wizard.solver.shape import flatness

SIX = ((20.0, 20.0), (110.0, 20.0), (200.0, 20.0), (200.0, 200.0), (110.0, 200.0), (20.0, 200.0))
FOUR = ((30.0, 30.0), (190.0, 30.0), (190.0, 190.0), (30.0, 190.0))


def machine(screws: tuple[tuple[float, float], ...], side: int) -> Machine:
    """Return a machine with screws at the given places and side x side points."""
    places = [20.0 + 180.0 * i / (side - 1) for i in range(side)]
    return Machine(
        name="speed",
        bed=Bed(size_mm=(220.0, 220.0), mount="held"),
        motion=Motion(x_mm=(0.0, 220.0), y_mm=(0.0, 220.0), z_mm=(0.0, 200.0)),
        first_layer=FirstLayer(height_mm=0.2, gap_mm=0.15, tolerance_mm=0.05),
        height=Height(by="bed adjusters"),
        gauge=Gauge(leaves_mm=(0.05, 0.1, 0.15, 0.2, 0.25, 0.3), card_mm=0.1),
        adjuster=tuple(
            Adjuster(name=f"a{i}", at_mm=at, thread="M3", clockwise="lowers") for i, at in enumerate(screws)
        ),
        point=tuple(Point(name=f"p{x:.0f} {y:.0f}", at_mm=(x, y)) for y in places for x in places),
    )


def rounds(model: Machine, count: int) -> list[Round]:
    """Return rounds of readings, each followed by the turns that were asked for."""
    rng = np.random.default_rng(0)
    gaps, out = rng.normal(0.5, 0.1, len(model.point)), []
    for _ in range(count):
        readings = {
            p.name: Reading(g - 0.01, g + 0.01, "feel") for p, g in zip(model.point, gaps, strict=True)
        }
        finding = solve(model, [*out, Round(readings)])
        out.append(Round(readings, finding.turns))
        gaps = np.array([finding.points[p.name].predicted_mm for p in model.point])
        gaps = gaps + rng.normal(0.0, 0.004, len(gaps))
    return out


@pytest.mark.parametrize(
    ("screws", "side", "count"), [(FOUR, 3, 5), (SIX, 5, 10)], ids=["4 x 9 x 5", "6 x 25 x 10"]
)
def test_solve(benchmark, screws, side, count):
    model = machine(screws, side)
    given = rounds(model, count)
    assert benchmark(solve, model, given).points


def test_expect(benchmark):
    model = machine(FOUR, 3)
    given = rounds(model, 3)
    assert benchmark(expect, model, given)


HEIGHTS = np.random.default_rng(1).normal(0.0, 0.05, 25)
AT = np.array([[x, y] for y in range(5) for x in range(5)], dtype=float)


def test_minimum_zone_of_25_points(benchmark):
    assert benchmark(flatness, AT, HEIGHTS).zone > 0.0


def test_the_same_by_linear_programming(benchmark):
    plane = np.column_stack([np.ones(25), AT])
    a = np.vstack([np.column_stack([plane, -np.ones(25)]), np.column_stack([-plane, -np.ones(25)])])
    b = np.concatenate([HEIGHTS, -HEIGHTS])
    found = benchmark(linprog, [0, 0, 0, 2], A_ub=a, b_ub=b, bounds=[(None, None)] * 3 + [(0, None)])
    assert found.fun == pytest.approx(flatness(AT, HEIGHTS).zone, abs=1e-9)
