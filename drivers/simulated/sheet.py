"""An elastic thin plate on springs, solved by Ritz's method. Pure numpy; lengths in mm, forces in N.

The deflection is a sum of products of Legendre polynomials over the plate. Its coefficients make the
energy least: bending (Kirchhoff plate, with the twisting term of Poisson's ratio), support springs
and weight. Everything is linear, so the response to each support's height is computed once.

Bending energy: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, the chapter on strain
energy in bending (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.polynomial import legendre
from numpy.typing import NDArray

from drivers.simulated.materials import Material

Array = NDArray[np.float64]
DEGREE = 8
_TERMS = tuple((i, j) for i in range(DEGREE + 1) for j in range(DEGREE + 1 - i))
_I = np.array([i for i, _ in _TERMS])
_J = np.array([j for _, j in _TERMS])


class Outline(NamedTuple):
    """The plate's outline about its centre: half sizes in mm, and whether it is a disc."""

    half_x_mm: float
    half_y_mm: float
    round: bool = False

    def inside(self, x: float, y: float) -> bool:
        """Whether a place, measured from the centre, is on the plate."""
        u, v = x / self.half_x_mm, y / self.half_y_mm
        return u * u + v * v <= 1.0 + 1e-9 if self.round else max(abs(u), abs(v)) <= 1.0 + 1e-9

    def nearest(self, x: float, y: float) -> tuple[float, float]:
        """Return the place itself, or the nearest one on the plate (for a disc, towards the centre)."""
        if self.round:
            shrink = max(1.0, float(np.hypot(x, y)) / self.half_x_mm)
            return x / shrink, y / shrink
        return (
            min(max(x, -self.half_x_mm), self.half_x_mm),
            min(max(y, -self.half_y_mm), self.half_y_mm),
        )


class Response(NamedTuple):
    """Coefficients of the deflected plate: one column for each support's height, and what is fixed."""

    by_support: Array
    by_weight: Array
    by_shape: Array


def term(i: int, j: int) -> int:
    """Return where the product of the i-th and j-th polynomial stands among the coefficients."""
    return _TERMS.index((i, j))


def row(outline: Outline, x: float, y: float, dx: int = 0, dy: int = 0) -> Array:
    """Return the polynomials' values (or derivatives, in 1/mm) at a place measured from the centre."""
    values: Array = _rows(outline, np.array([x]), np.array([y]), dx, dy)[0]
    return values


def arm_row(outline: Outline, x: float, y: float) -> Array:
    """Return the row for a support that may stand beside the plate, at the end of a rigid arm."""
    nx, ny = outline.nearest(x, y)
    at_edge = row(outline, nx, ny)
    if (nx, ny) == (x, y):
        return at_edge
    slope_x, slope_y = row(outline, nx, ny, dx=1), row(outline, nx, ny, dy=1)
    arm: Array = at_edge + (x - nx) * slope_x + (y - ny) * slope_y
    return arm


def respond(
    outline: Outline,
    material: Material,
    thick_mm: float,
    supports: Sequence[tuple[float, float]],
    stiffness_n_mm: Sequence[float],
) -> Response:
    """Return how the plate answers to heights of its supports, to its weight and to a free shape.

    `by_shape` maps the coefficients of the shape that the plate has when nothing holds it to the
    coefficients of the shape on its supports. At least three supports, not in one line.
    """
    bending, area = _energy(outline, material.poisson)
    bending = material.bending_stiffness(thick_mm) * bending
    places = np.array([arm_row(outline, x, y) for x, y in supports])
    pull = places.T * np.asarray(stiffness_n_mm)
    inverse = np.linalg.inv(bending + pull @ places)
    return Response(inverse @ pull, inverse @ (-material.weight_n_mm2(thick_mm) * area), inverse @ bending)


@lru_cache(maxsize=32)
def _energy(outline: Outline, poisson: float) -> tuple[Array, Array]:
    """Return the bending energy's matrix for a stiffness of 1, and each term's integral over the plate."""
    x, y, weight = _quadrature(outline)
    xx = _rows(outline, x, y, 2, 0)
    yy = _rows(outline, x, y, 0, 2)
    xy = _rows(outline, x, y, 1, 1)
    mean = xx + yy
    saddle = xx.T @ (weight[:, None] * yy)
    energy = (
        mean.T @ (weight[:, None] * mean)
        - (1.0 - poisson) * (saddle + saddle.T)
        + 2.0 * (1.0 - poisson) * xy.T @ (weight[:, None] * xy)
    )
    return energy, weight @ _rows(outline, x, y)


def _quadrature(outline: Outline) -> tuple[Array, Array, Array]:
    """Return places and weights that integrate products of the terms over the plate exactly."""
    gauss = legendre.leggauss(DEGREE + 2)
    nodes: Array = np.asarray(gauss[0], dtype=np.float64)
    weights: Array = np.asarray(gauss[1], dtype=np.float64)
    if not outline.round:
        x, y = np.meshgrid(outline.half_x_mm * nodes, outline.half_y_mm * nodes)
        area = np.outer(weights, weights) * outline.half_x_mm * outline.half_y_mm
        return x.ravel(), y.ravel(), area.ravel()
    count = 2 * DEGREE + 2
    radius = outline.half_x_mm * (nodes + 1.0) / 2.0
    angle = 2.0 * np.pi * np.arange(count) / count
    ring = weights * radius * (outline.half_x_mm / 2.0) * (2.0 * np.pi / count)
    x, y = np.outer(radius, np.cos(angle)), np.outer(radius, np.sin(angle))
    return x.ravel(), y.ravel(), np.repeat(ring, count)


def _rows(outline: Outline, x: Array, y: Array, dx: int = 0, dy: int = 0) -> Array:
    along_x = _polynomials(x / outline.half_x_mm, dx) / outline.half_x_mm**dx
    along_y = _polynomials(y / outline.half_y_mm, dy) / outline.half_y_mm**dy
    product: Array = along_x[:, _I] * along_y[:, _J]
    return product


def _polynomials(at: Array, derivative: int) -> Array:
    """Return all Legendre polynomials up to DEGREE at `at`, or their derivatives."""
    unit = np.eye(DEGREE + 1)
    series = legendre.legder(unit, derivative, axis=0) if derivative else unit
    return np.asarray(legendre.legval(at, series), dtype=np.float64).T
