"""How well readings fit what was known before them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from wizard.solver import priors
from wizard.solver.brackets import Seen
from wizard.solver.state import State


class Evidence(NamedTuple):
    """log_likelihood: log probability density of the readings. surprise: how far out their misfit lies, as
    a standard normal deviate (3 is one in 740).
    """

    log_likelihood: float
    surprise: float


def evidence(state: State, seen: Mapping[int, Seen], home_mm: float = priors.HOME_MM) -> Evidence:
    """Return the evidence of brackets, by row of the point. home_mm: uncertainty of the home shift."""
    closed = [row for row in sorted(seen) if seen[row].closed]
    total = sum(_log_open(state, row, seen[row]) for row in seen if not seen[row].closed)
    surprise = math.sqrt(max(-2.0 * total - 4.0, 0.0))
    if not closed:
        return Evidence(total, surprise)
    u = np.array([seen[row].u for row in closed])
    off = np.array([seen[row].middle for row in closed]) - state.gaps[closed]
    spread = state.covariance[np.ix_(closed, closed)] + home_mm**2
    spread[np.diag_indices(len(closed))] += u**2
    lower = np.linalg.cholesky(spread)
    white = np.linalg.solve(lower, off)
    squares = float(white @ white)
    total -= squares / 2.0 + float(np.log(np.diagonal(lower)).sum())
    return Evidence(total, max(surprise, _deviate(squares, len(closed))))


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
