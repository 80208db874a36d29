"""A thin plate on springs, by finite differences: where it really goes when a support is raised.

Nothing here is shared with the solver: the plate is a grid of heights whose bending energy is summed
cell by cell (Kirchhoff plate, second differences), held at its supports by springs. Stiff springs are
screws that hold it hard, soft ones let only part of a twist arrive.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

GRID = 15
E_MPA, NU = 69_000.0, 0.33  # aluminium


def _second(n: int) -> np.ndarray:
    """Second differences at all n nodes; at the two ends those of the neighbours."""
    d = np.zeros((n, n))
    for i in range(n):
        k = min(max(i, 1), n - 2)
        d[i, k - 1 : k + 2] = [1.0, -2.0, 1.0]
    return d


@lru_cache(maxsize=8)
def _energy(size_mm: float, thick_mm: float) -> np.ndarray:
    h = size_mm / (GRID - 1)
    one, first = np.eye(GRID), np.diff(np.eye(GRID), axis=0) / h
    xx, yy = np.kron(one, _second(GRID)) / h**2, np.kron(_second(GRID), one) / h**2
    xy = np.kron(first, first)
    edge = np.ones(GRID)
    edge[[0, -1]] = 0.5
    area = np.outer(edge, edge).ravel()[:, None] * h**2
    rigidity = E_MPA * thick_mm**3 / (12.0 * (1.0 - NU**2))
    cross = xx.T @ (area * yy)
    bending = xx.T @ (area * xx) + yy.T @ (area * yy) + NU * (cross + cross.T)
    return rigidity * (bending + 2.0 * (1.0 - NU) * h**2 * xy.T @ xy)


def _at(places_mm: np.ndarray, size_mm: float) -> np.ndarray:
    """Bilinear interpolation from the grid to places, (n, GRID * GRID)."""
    h = size_mm / (GRID - 1)
    rows = np.zeros((len(places_mm), GRID * GRID))
    for r, (x, y) in enumerate(np.clip(places_mm / h, 0.0, GRID - 1 - 1e-9)):
        i, j = int(x), int(y)
        fx, fy = x - i, y - j
        for dj, wy in ((0, 1 - fy), (1, fy)):
            for di, wx in ((0, 1 - fx), (1, fx)):
                rows[r, (j + dj) * GRID + i + di] += wx * wy
    return rows


@lru_cache(maxsize=64)
def response(
    points: tuple[tuple[float, float], ...],
    supports: tuple[tuple[float, float], ...],
    size_mm: float,
    thick_mm: float,
    spring_n_mm: float,
) -> np.ndarray:
    """Rise of each point per mm of raise of each support's spring, (points, supports)."""
    held = _at(np.array(supports), size_mm)
    stiffness = _energy(size_mm, thick_mm) + spring_n_mm * held.T @ held
    moved = np.linalg.solve(stiffness, spring_n_mm * held.T)
    return _at(np.array(points), size_mm) @ moved
