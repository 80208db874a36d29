"""What the plate is like: tilt, twist, bow, and flatness by ISO 12781-1."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wizard.solver.finding import Shape
from wizard.solver.leastsquares import Array, least_squares
from wizard.solver.minimax import least_largest


class Flatness(NamedTuple):
    """Parameters of ISO 12781-1, same unit as the heights.

    zone: peak to valley from the minimum-zone planes. total: the same from the least-squares plane;
    peak, valley: from that plane up and down (both positive); rms: root mean square from it.
    """

    zone: float
    total: float
    peak: float
    valley: float
    rms: float


def flatness(at: Array, heights: Array) -> Flatness:
    """Return the flatness of heights (n,) at places (n, 2), measured along the height axis.

    The standard measures normal to the plane; at the tilts of a print bed (some mm per m) the
    difference is a factor of 1 - 1e-6.
    """
    plane = _plane(at)
    residual = heights - plane @ least_squares(plane, heights).solution
    zone = 2.0 * least_largest(residual, plane)
    peak, valley = float(residual.max()), float(-residual.min())
    return Flatness(zone, peak + valley, peak, valley, float(np.sqrt(np.mean(residual**2))))


def shape_of(at: Array, gaps: Array) -> Shape | None:
    """Return the plate's form from gaps (n,) at places (n, 2) in mm; None for fewer than three points.

    Heights are the gaps turned over: the plate is high where the gap is small. twist: height at a corner
    of the measured field by the saddle x y; bow: height of the middle over the corners' mean by curvature.
    """
    if len(gaps) < 3:
        return None
    heights = -(gaps - gaps.mean())
    plane = _plane(at)
    slopes = least_squares(plane, heights).solution[1:] / _span(at)
    form = flatness(at, heights)
    twist, bow = _curved(at, heights)
    return Shape(
        tilt_x_mm_per_m=float(slopes[0]) * 1000.0,
        tilt_y_mm_per_m=float(slopes[1]) * 1000.0,
        twist_mm=twist,
        bow_mm=bow,
        flatness_minimum_zone_mm=form.zone,
        flatness_least_squares_mm=form.total,
    )


def _span(at: Array) -> float:
    return max(float(np.ptp(at, axis=0).max()) / 2.0, 1e-9)


def _plane(at: Array) -> Array:
    middle = (at.min(axis=0) + at.max(axis=0)) / 2.0
    return np.column_stack([np.ones(len(at)), (at - middle) / _span(at)])


def _curved(at: Array, heights: Array) -> tuple[float, float]:
    """Return twist and bow by least squares; what the points cannot tell is taken as zero."""
    plane = _plane(at)
    half = np.maximum(np.ptp(at, axis=0) / 2.0, 1e-9)
    x, y = ((at - (at.min(axis=0) + at.max(axis=0)) / 2.0) / half).T
    extra = np.column_stack([x * y, 1.0 - (x * x + y * y) / 2.0])
    q, _ = np.linalg.qr(plane)
    known = np.abs(extra - q @ (q.T @ extra)).max(axis=0) > 1e-6
    size = np.zeros(2)
    if known.any():
        size[known] = least_squares(np.column_stack([plane, extra[:, known]]), heights).solution[3:]
    return float(size[0]), float(size[1])
