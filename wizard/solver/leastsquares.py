"""Least squares by orthogonal decomposition, columns scaled: the one path of all estimates.

Normal equations and unscaled columns lose half the digits or more (NIST StRD sets Longley, Pontius
and Filip), so neither is used anywhere in the solver.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
_TINY = float(np.finfo(np.float64).tiny)


@dataclass(frozen=True)
class Fit:
    """Result of one least-squares problem.

    solution: (p,). root: (p, p) with root @ root.T the covariance for observations of unit variance.
    misfit: sum of squared residuals. rank: of the scaled design. triangle: a matrix that is as well or
    ill conditioned as the scaled design.
    """

    solution: Array
    root: Array
    misfit: float
    rank: int
    triangle: Array

    @property
    def condition(self) -> float:
        """Condition number of the scaled design; infinite where the rank is less than the unknowns."""
        if self.rank < len(self.solution) or not self.triangle.size:
            return math.inf
        return float(np.linalg.cond(self.triangle))

    @property
    def covariance(self) -> Array:
        """Covariance of the solution for observations of unit variance, (p, p)."""
        return self.root @ self.root.T


def least_squares(design: Array, observed: Array) -> Fit:
    """Return the solution of design (n, p) @ x = observed (n,), rows already divided by their uncertainty.

    Where the rank is less than p the shortest solution (in scaled columns) is returned.
    """
    norms = np.sqrt((design * design).sum(axis=0))
    scale = norms if norms.size and norms.min() > _TINY else np.where(norms > _TINY, norms, 1.0)
    scaled = design / scale
    if design.shape[0] >= design.shape[1] > 0:
        q, r = np.linalg.qr(scaled)
        size = np.abs(r.diagonal())
        if size.min() > design.shape[1] * 1e-14 * size.max():
            return _regular(design, observed, scale, q, r)
    return _deficient(design, observed, scale, scaled)


def _regular(design: Array, observed: Array, scale: Array, q: Array, r: Array) -> Fit:
    inverse = np.linalg.inv(r)
    solution = inverse @ (q.T @ observed)
    residual = observed - design @ (solution / scale)
    solution = solution + inverse @ (q.T @ residual)  # one step of refinement
    residual = observed - design @ (solution / scale)
    return Fit(solution / scale, inverse / scale[:, None], float(residual @ residual), r.shape[0], r)


def _deficient(design: Array, observed: Array, scale: Array, scaled: Array) -> Fit:
    if design.size == 0:
        p = design.shape[1]
        return Fit(np.zeros(p), np.zeros((p, p)), float(observed @ observed), 0, np.zeros((0, 0)))
    u, s, vt = np.linalg.svd(scaled, full_matrices=False)
    keep = s > max(scaled.shape) * np.finfo(np.float64).eps * s[0]
    root = (vt[keep].T / s[keep]) @ np.eye(int(keep.sum()))
    solution = root @ (u[:, keep].T @ observed) / scale
    residual = observed - design @ solution
    square = np.zeros((design.shape[1], design.shape[1]))
    square[:, : root.shape[1]] = root / scale[:, None]
    return Fit(solution, square, float(residual @ residual), int(keep.sum()), np.diag(s))
