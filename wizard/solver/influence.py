"""How far each point rises when one support is raised by one millimetre.

Three supports: the plane through them. More: the plane nearest to the supports, and the rest as the
shape of least bending energy through them (Kirchhoff plate, Ritz method with polynomials over the
plate). At four corners of a rectangle that rest is exactly w = c x y, the plate under corner forces.
"""

from __future__ import annotations

import numpy as np

from wizard.solver.leastsquares import Array, least_squares

DEGREE = 6  # of the polynomials: the heights settle long before the curvature under a support does
SMALLEST_MM = 1.0  # supports nearer to each other than a part of this stand at one place
NARROW = 0.02  # supports that span less than this share across than along stand on one line
POISSON = 0.33  # aluminium; the heights hardly depend on it


def plane_influence(points: Array, supports: Array) -> Array:
    """Return (n, s): rise of n points (n, 2) for a unit raise of each of s supports (s, 2), rigid plate.

    Fewer than three supports, or supports on one line: the least tilted plane through them.
    """
    if len(supports) == 0:
        return np.zeros((len(points), 0))
    centre = supports.mean(axis=0)
    span = max(float(np.abs(supports - centre).max()), SMALLEST_MM)
    ours = np.column_stack([np.ones(len(supports)), (supports - centre) / span])
    theirs = np.column_stack([np.ones(len(points)), (points - centre) / span])
    inverse: Array = np.linalg.pinv(ours, rcond=NARROW)
    return theirs @ inverse


def bend_influence(points: Array, supports: Array, corners: Array, round_plate: bool = False) -> Array:
    """Return (n, s): what a unit raise of each support adds to the rigid plate's rise by bending it.

    corners (2, 2): least and greatest x, y of the plate (round: of the square around it).
    Zero where three supports or fewer leave nothing to bend.
    """
    if len(supports) <= 3:
        return np.zeros((len(points), len(supports)))
    centre = corners.mean(axis=0)
    length = max(float(np.ptp(corners, axis=0).max()) / 2.0, 1e-9)
    energy = _energy((corners - centre) / length, round_plate)
    at_supports = _terms((supports - centre) / length)
    shapes = _least_energy(energy, at_supports)
    through = _terms((points - centre) / length) @ shapes
    # Supports that ask for what no smooth plate can do (two at one place) are met in the mean.
    wanted = at_supports @ shapes
    return through - plane_influence(points, supports) @ wanted


def _powers() -> list[tuple[int, int]]:
    return [(d - j, j) for d in range(DEGREE + 1) for j in range(d + 1)]


def _terms(uv: Array) -> Array:
    return np.column_stack([uv[:, 0] ** a * uv[:, 1] ** b for a, b in _powers()])


def _second(uv: Array) -> tuple[Array, Array, Array]:
    """Return the second derivatives xx, yy, xy of all terms, each (n, terms)."""
    x, y = uv[:, 0], uv[:, 1]

    def derivative(a: int, b: int, da: int, db: int) -> Array:
        factor = 1.0
        for power, times in ((a, da), (b, db)):
            for k in range(times):
                factor *= power - k
        return factor * x ** max(a - da, 0) * y ** max(b - db, 0)

    def all_terms(da: int, db: int) -> Array:
        return np.column_stack([derivative(a, b, da, db) for a, b in _powers()])

    return all_terms(2, 0), all_terms(0, 2), all_terms(1, 1)


def gauss(count: int) -> tuple[Array, Array]:
    """Return knots and weights, both (count,), of Gauss-Legendre quadrature from -1 to 1.

    Eigenvalues of the recurrence's matrix (G. Golub, J. Welsch, Math. Comp. 23 (1969) 221).
    """
    k = np.arange(1.0, count)
    beside = np.diag(k / np.sqrt(4.0 * k**2 - 1.0), 1)
    knots, vectors = np.linalg.eigh(beside + beside.T)
    return knots, 2.0 * vectors[0] ** 2


def _nodes(corners: Array, round_plate: bool) -> tuple[Array, Array]:
    """Return places (q, 2) and weights (q,) that integrate the energy over the plate."""
    knots, weights = gauss(DEGREE)
    half = np.ptp(corners, axis=0) / 2.0
    if round_plate:
        radius, angle = (knots + 1.0) / 2.0, np.arange(4 * DEGREE) * (2.0 * np.pi / (4 * DEGREE))
        r, a = (g.ravel() for g in np.meshgrid(radius, angle, indexing="ij"))
        return half.max() * np.column_stack([r * np.cos(a), r * np.sin(a)]), np.repeat(
            weights * radius, len(angle)
        )
    gx, gy = (g.ravel() for g in np.meshgrid(knots, knots, indexing="ij"))
    return np.column_stack([gx, gy]) * half, np.outer(weights, weights).ravel()


def _energy(corners: Array, round_plate: bool) -> Array:
    """Return the bending energy as a quadratic form on the terms."""
    places, weights = _nodes(corners, round_plate)
    xx, yy, xy = _second(places)
    w = weights[:, None]
    total = (xx + yy).T @ (w * (xx + yy))
    mixed = xx.T @ (w * yy)
    saddle = mixed + mixed.T - 2.0 * (xy.T @ (w * xy))
    energy: Array = total - (1.0 - POISSON) * saddle
    return energy


def _least_energy(energy: Array, at_supports: Array) -> Array:
    """Return (terms, s): shapes of least energy that rise by one at one support, by none elsewhere."""
    count, supports = energy.shape[0], at_supports.shape[0]
    system = np.zeros((count + supports, count + supports))
    system[:count, :count] = energy / max(float(np.abs(energy).max()), 1e-300)
    system[:count, count:] = at_supports.T
    system[count:, :count] = at_supports
    wanted = np.vstack([np.zeros((count, supports)), np.eye(supports)])
    columns = [least_squares(system, wanted[:, j]).solution[:count] for j in range(supports)]
    return np.column_stack(columns)
