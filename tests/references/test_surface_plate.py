"""A surface plate of 48 x 72 inches: J. C. Moody, "How to calibrate surface plates in the plant",
The Tool Engineer, October 1955, pp. 15-21, Table 1, with the corrections by B. Allen (2019).

The flatness figures are those of the corrected 126-point map, worked out by linear programming and by
least squares (its mean plane is not compared: it depends on how the two centre lines are closed).
Readings in seconds of arc at steps of 4 inches along eight lines (four sides, two diagonals, two centre
lines); the paper's overall flatness is 18 (unit 1e-5 inch, from the diagonals' datum; exactly 17.841).
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import linprog

from wizard.solver.shape import flatness

LINES = {
    "NW_SE": "6.5 6.0 5.0 5.2 5.5 5.6 5.5 5.0 5.5 4.8 5.0 5.2 5.3 4.9 4.6 4.2 5.3 4.9 4.5 3.5",
    "NE_SW": "6.6 5.4 5.4 5.2 5.5 5.7 5.0 5.0 5.4 4.5 4.4 4.5 4.5 4.8 4.2 4.2 4.2 4.8 4.3 3.2",
    "NE_NW": "20.5 19.7 20.5 20.3 20.2 19.9 19.0 19.5 18.8 18.6 18.7 18.6 18.4 18.5 19.0 17.9",
    "NE_SE": "3.5 2.1 2.5 2.8 3.4 3.2 3.5 4.0 4.2 3.5",
    "NW_SW": "6 4.6 4.5 4.7 5.0 4.5 5.9 6 6 4.9",
    "SE_SW": "16.4 15 15.6 15.5 15.1 15.3 15.1 14.6 14 13.5 13.5 13.3 13.3 13.4 14 13.9",
    "E_W": "11.7 12.4 12.1 12.5 12.0 11.5 11.5 11.3 11.3 10.3 10.8 10.3 10 10.7 10.4 10.4",
    "N_S": "6.6 6.4 6.3 6.5 6.6 6.9 7.5 7.4 7.1 7",
}
CORNER = {"NW": (0.0, 10.0), "NE": (16.0, 10.0), "SE": (16.0, 0.0), "SW": (0.0, 0.0)}
CORNER |= {"E": (16.0, 5.0), "W": (0.0, 5.0), "N": (8.0, 10.0), "S": (8.0, 0.0)}
SECOND_OVER_4_INCHES = 4.0 * np.pi / (180.0 * 3600.0) * 1e5  # in 1e-5 inch


def climbed(line: str) -> np.ndarray:
    steps = np.array([float(v) for v in LINES[line].split()])
    return np.concatenate([[0.0], np.cumsum(steps)]) * SECOND_OVER_4_INCHES


def levelled(line: str, at_start: float, at_end: float) -> np.ndarray:
    """The line's heights, turned so that its ends lie at the given heights."""
    h = climbed(line)
    along = np.linspace(0.0, 1.0, len(h))
    return h - h[0] - along * (h[-1] - h[0]) + at_start + along * (at_end - at_start)


def plate() -> tuple[np.ndarray, np.ndarray]:
    """The method of the paper: the two diagonals have their middles at zero and their ends level.

    Where lines meet the point counts for each of them: 126 in all.
    """
    known: dict[tuple[float, float], float] = {}
    places: list[tuple[float, float]] = []
    all_heights: list[float] = []

    def put(line: str, heights: np.ndarray) -> None:
        a, b = (np.array(CORNER[c]) for c in line.split("_"))
        for k, h in zip(np.linspace(0.0, 1.0, len(heights)), heights, strict=True):
            place = tuple(np.round(a + k * (b - a), 6))
            known.setdefault(place, float(h))
            places.append(place)
            all_heights.append(float(h))

    for line in ("NW_SE", "NE_SW"):
        h = levelled(line, 0.0, 0.0)
        put(line, h - h[len(h) // 2])
    for line in ("NE_NW", "NE_SE", "NW_SW", "SE_SW"):
        put(line, levelled(line, *(known[CORNER[c]] for c in line.split("_"))))
    for line in ("E_W", "N_S"):
        put(line, levelled(line, *(known[CORNER[c]] for c in line.split("_"))))
    return np.array(places), np.array(all_heights)


def test_the_published_overall_and_both_flatness_figures():
    at, heights = plate()
    assert len(at) == 126
    assert np.ptp(heights) == pytest.approx(17.841, abs=5e-4)
    form = flatness(at, heights)
    assert form.zone == pytest.approx(16.36731, abs=1e-5)
    assert form.total == pytest.approx(17.5371, abs=1e-4)
    assert form.zone <= form.total <= np.ptp(heights)


def test_the_minimum_zone_is_that_of_linear_programming():
    at, heights = plate()
    n = len(at)
    plane = np.column_stack([np.ones(n), at])
    a = np.vstack([np.column_stack([plane, -np.ones(n)]), np.column_stack([-plane, -np.ones(n)])])
    found = linprog(
        [0, 0, 0, 2],
        A_ub=a,
        b_ub=np.concatenate([heights, -heights]),
        bounds=[(None, None)] * 3 + [(0, None)],
    )
    assert flatness(at, heights).zone == pytest.approx(found.fun, abs=1e-9)
