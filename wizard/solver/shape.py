"""What the plate is like: tilt, twist, bow, and flatness by ISO 12781-1."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from wizard.solver.finding import Shape
from wizard.solver.leastsquares import Array
from wizard.solver.minimax import Span, least_largest, span_of


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


@dataclass(frozen=True, eq=False)
class _Field:
    """What only depends on the places (n, 2): the plane's columns (n, 3), what they span, and the
    least-squares solutions for heights (n,): flat (3, n) of the plane, curved (2, n) of twist and bow.
    """

    plane: Array
    span: Span
    flat: Array
    curved: Array
    half_mm: float


@lru_cache(maxsize=32)
def _field(places: bytes) -> _Field:
    at = np.frombuffer(places).reshape(-1, 2)
    plane = _plane(at)
    flat = np.linalg.pinv(plane).astype(np.float64, copy=False)
    return _Field(plane, span_of(plane), flat, _curved(at, plane), _half(at))


def _field_of(at: Array) -> _Field:
    return _field(np.ascontiguousarray(at, dtype=float).tobytes())


def flatness(at: Array, heights: Array) -> Flatness:
    """Return the flatness of heights (n,) at places (n, 2), measured along the height axis.

    The standard measures normal to the plane; at the tilts of a print bed (some mm per m) the
    difference is a factor of 1 - 1e-6.
    """
    field = _field_of(at)
    return _flatness(field, heights - field.plane @ (field.flat @ heights))


def _flatness(field: _Field, residual: Array) -> Flatness:
    zone = 2.0 * least_largest(residual, field.span)
    peak, valley = float(residual.max()), float(-residual.min())
    return Flatness(zone, peak + valley, peak, valley, math.sqrt(float(residual @ residual) / len(residual)))


def shape_of(at: Array, gaps: Array) -> Shape | None:
    """Return the plate's form from gaps (n,) at places (n, 2) in mm; None for fewer than three points.

    Heights are the gaps turned over: the plate is high where the gap is small. twist: height at a corner
    of the measured field by the saddle x y; bow: height of the middle over the corners' mean by curvature.
    """
    if len(gaps) < 3:
        return None
    field = _field_of(at)
    heights = gaps.mean() - gaps
    flat = field.flat @ heights
    form = _flatness(field, heights - field.plane @ flat)
    twist, bow = field.curved @ heights
    return Shape(
        tilt_x_mm_per_m=float(flat[1]) / field.half_mm * 1000.0,
        tilt_y_mm_per_m=float(flat[2]) / field.half_mm * 1000.0,
        twist_mm=float(twist),
        bow_mm=float(bow),
        flatness_minimum_zone_mm=form.zone,
        flatness_least_squares_mm=form.total,
    )


def _half(at: Array) -> float:
    return max(float(np.ptp(at, axis=0).max()) / 2.0, 1e-9)


def _plane(at: Array) -> Array:
    middle = (at.min(axis=0) + at.max(axis=0)) / 2.0
    return np.column_stack([np.ones(len(at)), (at - middle) / _half(at)])


def _curved(at: Array, plane: Array) -> Array:
    """Return (2, n): twist and bow of heights by least squares; what the points cannot tell is zero."""
    half = np.maximum(np.ptp(at, axis=0) / 2.0, 1e-9)
    x, y = ((at - (at.min(axis=0) + at.max(axis=0)) / 2.0) / half).T
    extra = np.column_stack([x * y, 1.0 - (x * x + y * y) / 2.0])
    q, _ = np.linalg.qr(plane)
    known = np.abs(extra - q @ (q.T @ extra)).max(axis=0) > 1e-6
    out = np.zeros((2, len(at)))
    out[known] = np.linalg.pinv(np.column_stack([plane, extra[:, known]]))[3:]
    return out
