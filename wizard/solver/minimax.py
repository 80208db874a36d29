"""Least largest deviation, exactly: min over t of max_i |d_i + B_i t|.

By duality that minimum is the largest |w d| / |w|_1 over all w with w B = 0, and it is reached at a w
with few rows, a circuit. All circuits of few rows are looked through at once; many rows are brought in
a few at a time, the farthest out first, until none is outside.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from wizard.solver.leastsquares import Array, least_squares

Indices = npt.NDArray[np.intp]
_AT_ONCE = 3000  # circuits looked through at once


class Best(NamedTuple):
    """Least largest deviation, and parameters (p,) that reach it."""

    value: float
    at: Array


@lru_cache(maxsize=256)
def subsets(count: int, size: int) -> tuple[Indices, Indices]:
    """Return all subsets of `size` out of `count` rows, (c, size), and for each member the number of the
    subset (of size - 1) that is left without it, (c, size).
    """
    chosen = list(combinations(range(count), size))
    smaller = {s: i for i, s in enumerate(combinations(range(count), size - 1))}
    without = [[smaller[s[:k] + s[k + 1 :]] for k in range(size)] for s in chosen]
    shape = (len(chosen), size)
    return np.array(chosen, dtype=np.intp).reshape(shape), np.array(without, dtype=np.intp).reshape(shape)


def grown(minors: Array, column: Array, count: int, size: int) -> Array:
    """Return all minors of `size` rows from those of `size - 1` rows and one more column (Laplace)."""
    chosen, without = subsets(count, size)
    if len(chosen) == 0:
        return np.zeros(0)
    larger: Array = (column[chosen] * minors[without]) @ _signs(size)
    return larger


@lru_cache(maxsize=16)
def _signs(size: int) -> Array:
    return np.array([(-1.0) ** k for k in range(size)])


def circuits(minors: Array, count: int, free: int) -> tuple[Indices, Array]:
    """Return rows (c, free + 1) and weights (c, free + 1) of all combinations that `free` columns cannot
    change; `minors` are all those of the free columns. Weights are scaled to an absolute sum of one.
    """
    chosen, without = subsets(count, free + 1)
    if len(chosen) == 0:
        return chosen, np.zeros(chosen.shape)
    weights = minors[without] * _signs(free + 1)
    total = np.abs(weights).sum(axis=1)
    keep = total > 1e-12 * max(float(total.max()), 1e-300)
    if not keep.all():
        chosen, weights, total = chosen[keep], weights[keep], total[keep]
    return chosen, weights / total[:, None]


def minimax(offsets: Array, columns: Array) -> Best:
    """Return the least largest |offsets + columns @ t| over all real t, and such a t.

    offsets (n,), columns (n, p) of any rank.
    """
    n, p = columns.shape
    if n == 0:
        return Best(0.0, np.zeros(p))
    basis, back = _independent(columns)
    found = _few(offsets, basis) if _fits(n, basis.shape[1]) else _many(offsets, basis)
    return Best(found.value, back @ found.at)


class Span(NamedTuple):
    """What columns (n, p) span, and for few rows all circuits of it: enough for any offsets."""

    basis: Array
    rows: Indices | None
    weights: Array


def span_of(columns: Array) -> Span:
    """Return what columns (n, p) of any rank span."""
    basis, _ = _independent(columns)
    n, p = basis.shape
    if not _fits(n, p):
        return Span(basis, None, np.zeros(0))
    return Span(basis, *_circuits(basis))


def least_largest(offsets: Array, span: Span) -> float:
    """Return the least largest |offsets + columns @ t| over all real t."""
    if span.rows is None:
        return _many(offsets, span.basis).value
    if len(span.rows) == 0:
        return 0.0
    heights: Array = np.abs((span.weights * offsets[span.rows]).sum(axis=1))
    return float(heights.max())


def _fits(rows: int, rank: int) -> bool:
    count = 1
    for k in range(rank + 1):
        count = count * (rows - k) // (k + 1)
    return count <= _AT_ONCE


def _independent(columns: Array) -> tuple[Array, Array]:
    """Return independent columns that span the same, and the way back to the given ones."""
    n, p = columns.shape
    if p == 0 or n == 0:
        return np.zeros((n, 0)), np.zeros((p, 0))
    u, s, vt = np.linalg.svd(columns, full_matrices=False)
    keep = s > 1e-10 * max(float(s[0]), 1e-300)
    return u[:, keep], vt[keep].T / s[keep]


def _few(offsets: Array, basis: Array) -> Best:
    if basis.shape[0] <= basis.shape[1]:
        return Best(0.0, least_squares(basis, -offsets).solution)
    height, rows, weights = _highest(offsets, basis)
    return Best(abs(height), _touching(offsets, basis, rows, weights, height))


def _highest(offsets: Array, basis: Array) -> tuple[float, Indices, Array]:
    """Return the largest height w d of all circuits w, with its rows and weights."""
    rows, weights = _circuits(basis)
    heights = np.einsum("ck,ck->c", weights, offsets[rows])
    top = int(np.argmax(np.abs(heights)))
    return float(heights[top]), rows[top], weights[top]


def _circuits(basis: Array) -> tuple[Indices, Array]:
    n, p = basis.shape
    minors = np.ones(1)
    for size in range(1, p + 1):
        minors = grown(minors, basis[:, size - 1], n, size)
    return circuits(minors, n, p)


def _touching(offsets: Array, basis: Array, rows: Indices, weights: Array, height: float) -> Array:
    """Return the parameters at which the rows of a circuit are all as far out, with the circuit's signs.

    Where the circuit leaves freedom (rows of weight zero), the other rows get their own least largest value.
    """
    use = np.abs(weights) > 1e-9
    touching, p = rows[use], basis.shape[1]
    wanted = np.sign(weights[use]) * height - offsets[touching]
    at: Array = np.linalg.pinv(basis[touching], rcond=1e-10) @ wanted  # the basis is orthonormal: no scaling
    if int(use.sum()) > p:
        return at
    vt = np.linalg.svd(basis[touching])[2]
    rest = np.setdiff1d(np.arange(len(offsets)), touching)
    freedom = vt[len(touching) - 1 :].T
    inner = minimax((offsets + basis @ at)[rest], basis[rest] @ freedom)
    return at + freedom @ inner.at


def _many(offsets: Array, basis: Array) -> Best:
    n, p = basis.shape
    start = least_squares(basis, -offsets).solution
    order = np.argsort(-np.abs(offsets + basis @ start), kind="stable")
    inside = list(order[: p + 2])
    for _ in range(20 * n):
        found = _few(offsets[inside], basis[inside])
        out = offsets + basis @ found.at
        worst = int(np.argmax(np.abs(out)))
        if abs(out[worst]) <= found.value + 1e-13 * max(1.0, float(np.abs(offsets).max())):
            break
        held = np.abs(out[inside]) >= found.value * (1.0 - 1e-9) - 1e-15
        if not _fits(len(inside) + 1, p):
            inside = [i for i, h in zip(inside, held, strict=True) if h]
        if worst in inside:
            break
        inside.append(worst)
    return found
