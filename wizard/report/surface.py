"""A smooth surface through the gaps of a run's points, on a grid, and its contour lines."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from profiles.machine import XY, Machine

Array = npt.NDArray[np.float64]
CELLS = 36
NEAR_MM = 1.0
"""Keeps the weight of a point finite at the point itself."""

Segment = tuple[XY, XY]


def corners(machine: Machine) -> tuple[XY, XY]:
    """Return the corners of the plate, mm; widened to hold every point."""
    bed = machine.bed
    x0, y0 = bed.origin_mm
    if bed.shape == "round":
        half = (bed.diameter_mm or 0.0) / 2.0
        low, high = (x0 - half, y0 - half), (x0 + half, y0 + half)
    else:
        size = bed.size_mm or (0.0, 0.0)
        low, high = (x0, y0), (x0 + size[0], y0 + size[1])
    places = [low, high, *(point.at_mm for point in machine.point)]
    xs, ys = [p[0] for p in places], [p[1] for p in places]
    return (min(xs), min(ys)), (max(xs), max(ys))


def grid(machine: Machine, values: Mapping[str, float]) -> tuple[Array, Array, Array]:
    """Return x (CELLS + 1,), y (CELLS + 1,) and the surface (y, x) through `values` by point, mm.

    A plane with twist by least squares, and what it leaves, spread by inverse distance. For a picture
    only: nothing is decided by it. Raises ValueError where no value is given.
    """
    at = np.array([machine.point_named(name).at_mm for name in values], dtype=float)
    if not len(at):
        raise ValueError("a surface takes at least one point")
    gaps = np.array(list(values.values()), dtype=float)
    (x0, y0), (x1, y1) = corners(machine)
    xs, ys = np.linspace(x0, x1, CELLS + 1), np.linspace(y0, y1, CELLS + 1)
    scale = max(x1 - x0, y1 - y0, 1.0)
    middle = np.array([x0 + x1, y0 + y1]) / 2.0
    fit = np.linalg.lstsq(_basis((at - middle) / scale, len(at)), gaps, rcond=1e-6)[0]
    left = gaps - _basis((at - middle) / scale, len(at)) @ fit
    mesh = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    near = ((mesh[:, None, :] - at[None, :, :]) ** 2).sum(axis=2) + NEAR_MM**2
    weights = 1.0 / near
    surface = _basis((mesh - middle) / scale, len(at)) @ fit
    surface = surface + weights @ left / weights.sum(axis=1)
    return xs, ys, surface.reshape(len(ys), len(xs))


def _basis(uv: Array, count: int) -> Array:
    """Return the terms that so many points can tell: level, tilt, twist."""
    terms = [np.ones(len(uv)), uv[:, 0], uv[:, 1], uv[:, 0] * uv[:, 1]]
    return np.column_stack(terms[: 4 if count >= 4 else 3 if count == 3 else 1])


def contour(xs: Array, ys: Array, surface: Array, level: float) -> list[Segment]:
    """Return the line on which the surface has `level`, as straight pieces, one or two a cell."""
    pieces: list[Segment] = []
    for j in range(len(ys) - 1):
        for i in range(len(xs) - 1):
            cut = list(_cuts(xs, ys, surface - level, i, j))
            pieces += list(zip(cut[::2], cut[1::2], strict=False))
    return pieces


def _cuts(xs: Array, ys: Array, off: Array, i: int, j: int) -> Iterator[XY]:
    """Yield where the line crosses the edges of a cell, going round it."""
    ring = ((i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1), (i, j))
    for (a, b), (c, d) in pairwise(ring):
        here, there = float(off[b, a]), float(off[d, c])
        if (here < 0.0) != (there < 0.0):
            part = here / (here - there)
            yield (
                float(xs[a] + part * (xs[c] - xs[a])),
                float(ys[b] + part * (ys[d] - ys[b])),
            )
