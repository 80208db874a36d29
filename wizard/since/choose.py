"""Which point to read next: the one after which what the plate may have done is known best."""

from __future__ import annotations

import math

import numpy as np

from profiles.machine import Machine
from wizard.base import Base
from wizard.rounds import Round
from wizard.since.weigh import Told, gap_covariance, usable, weigh
from wizard.solver.layout import Layout, layout_of
from wizard.solver.leastsquares import Array

READ_U_MM = 0.01  # what a reading is about worth


def next_point(machine: Machine, base: Base, readings: Round) -> str | None:
    """Return the point whose reading tells most; None where all have been read.

    The first is the outermost one: from it the others differ most.
    """
    layout = layout_of(machine)
    left = [row for row, name in enumerate(layout.points) if name not in readings.readings]
    if not left:
        return None
    if not usable(layout, readings):
        return layout.points[_outermost(layout, left)]
    told = weigh(machine, base, readings)
    return layout.points[min(left, key=lambda row: (round(_unknown_after(told, row), 9), row))]


def _outermost(layout: Layout, left: list[int]) -> int:
    far = np.linalg.norm(layout.uv - layout.uv.mean(axis=0), axis=1)
    return max(left, key=lambda row: (round(float(far[row]), 6), -row))


def _unknown_after(told: list[Told], row: int) -> float:
    """Return how likely some gap is to be off by more than is allowed once `row` is read, by moving alone."""
    limit_mm = told[0].state.layout.tolerance_mm
    return sum(
        one.weight * math.erfc(limit_mm / math.sqrt(2.0 * _largest(gap_covariance(one.state), row)))
        for one in told
        if one.story.kind == "tilt"
    )


def _largest(covariance: Array, row: int) -> float:
    n = len(covariance)
    column = covariance[:, row]
    after = covariance - np.outer(column, column) / (covariance[row, row] + READ_U_MM**2)
    apart = np.eye(n) - 1.0 / n
    return max(float(np.diagonal(apart @ after @ apart).max()), 1e-12)
