"""How well readings fit what was known before them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from wizard.solver import priors
from wizard.solver.brackets import Seen
from wizard.solver.leastsquares import Array
from wizard.solver.state import State


class Evidence(NamedTuple):
    """log_likelihood: log probability density of the readings. surprise: how far out their misfit lies, as
    a standard normal deviate (3 is one in 740).
    """

    log_likelihood: float
    surprise: float


class _Misfit(NamedTuple):
    """of_open: log probability of the one-sided brackets. squares: of the closed ones' misfit, each by its
    spread (k, k).
    """

    of_open: float
    squares: float
    spread: Array

    @property
    def surprise(self) -> float:
        surprise = math.sqrt(max(-2.0 * self.of_open - 4.0, 0.0))
        return max(surprise, _deviate(self.squares, len(self.spread))) if len(self.spread) else surprise


def _misfit(state: State, seen: Mapping[int, Seen], home_mm: float) -> _Misfit:
    closed = [row for row, one in seen.items() if one.closed]
    of_open = sum(_log_open(state, row, one) for row, one in seen.items() if not one.closed)
    if not closed:
        return _Misfit(of_open, 0.0, np.zeros((0, 0)))
    u = np.array([seen[row].u for row in closed])
    off = np.array([seen[row].middle for row in closed]) - state.gaps[closed]
    spread = state.covariance[closed][:, closed] + home_mm**2
    spread.flat[:: len(closed) + 1] += u * u
    return _Misfit(of_open, max(float(off @ np.linalg.solve(spread, off)), 0.0), spread)


def surprise(state: State, seen: Mapping[int, Seen], home_mm: float = priors.HOME_MM) -> float:
    """Return how far out brackets lie, by row of the point. home_mm: uncertainty of the home shift."""
    return _misfit(state, seen, home_mm).surprise


def evidence(state: State, seen: Mapping[int, Seen], home_mm: float = priors.HOME_MM) -> Evidence:
    """Return the evidence of brackets, by row of the point. home_mm: uncertainty of the home shift."""
    misfit = _misfit(state, seen, home_mm)
    spread = float(np.linalg.slogdet(misfit.spread)[1]) if len(misfit.spread) else 0.0
    return Evidence(misfit.of_open - (misfit.squares + spread) / 2.0, misfit.surprise)


def _deviate(squares: float, count: int) -> float:
    """Return the normal deviate that is as rare as a sum of squares so large (Wilson and Hilferty 1931)."""
    spread = 2.0 / (9.0 * count)
    return float((math.pow(squares / count, 1.0 / 3.0) - (1.0 - spread)) / math.sqrt(spread))


def _log_open(state: State, row: int, bracket: Seen) -> float:
    mean, u = float(state.gaps[row]), math.hypot(float(state.u[row]), bracket.hand)
    a = (mean - bracket.low) / u if math.isinf(bracket.high) else (bracket.high - mean) / u
    if a < -30.0:
        return -a * a / 2.0
    return math.log(0.5 * math.erfc(-a / math.sqrt(2.0)))
