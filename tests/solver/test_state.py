"""Going through the rounds gives the same as one weighted least-squares problem over all of them."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import lsq_linear

from profiles.machine import Adjuster
from wizard.solver import priors
from wizard.solver import state as model
from wizard.solver.brackets import Seen
from wizard.solver.layout import layout_of

THREE = {"left": (30.0, 190.0), "right": (190.0, 190.0), "front": (110.0, 30.0)}


@pytest.fixture
def three(machine):
    screws = tuple(
        Adjuster(name=n, at_mm=at, thread="M3", clockwise="lowers", travel_turns=(-4.0, 4.0))
        for n, at in THREE.items()
    )
    return layout_of(machine(adjuster=screws))


def _brackets(gaps: np.ndarray) -> dict[int, Seen]:
    return {i: Seen(g - 0.01, g + 0.01, 0.005) for i, g in enumerate(gaps)}


def test_rounds_one_after_the_other_equal_one_problem_over_all(three):
    """Unknowns of the one problem: first gaps, pitches, and in each round errors of hand, influence, home."""
    rng = np.random.default_rng(1)
    n, m, rounds = 4, 3, 3
    gaps = [rng.normal(0.4, 0.1, n), rng.normal(0.2, 0.03, n), rng.normal(0.15, 0.01, n)]
    turns = [rng.normal(-0.4, 0.1, m), rng.normal(-0.1, 0.05, m)]
    state = model.before(three)
    first, unit = state, model.nominal(three, 1.0)
    sizes: list[tuple[np.ndarray, np.ndarray]] = []
    for r in range(rounds):
        state = model.read(state, _brackets(gaps[r]))
        if r < rounds - 1:
            influence = np.abs(three.plane * (state.mm_per_turn * turns[r])).sum(axis=1) * priors.INFLUENCE
            sizes.append((state.mm_per_turn * three.angle, influence))
            state = model.turned(state, turns[r])

    width = n + m + (rounds - 1) * (m + n) + rounds
    rows, wanted = [], []

    def add(row: np.ndarray, value: float, u: float) -> None:
        rows.append(row / u)
        wanted.append(value / u)

    prior = np.linalg.inv(np.linalg.cholesky(first.covariance[: n + m, : n + m]))
    for line in prior:
        rows.append(np.concatenate([line, np.zeros(width - n - m)]))
        wanted.append(float(line @ first.mean[: n + m]))
    now = np.zeros((n, width))
    now[:, :n] = np.eye(n)
    at = n + m
    for r in range(rounds):
        home = width - rounds + r
        add(np.eye(width)[home], 0.0, priors.HOME_MM)
        for i, bracket in _brackets(gaps[r]).items():
            add(now[i] + np.eye(width)[home], bracket.middle, bracket.u)
        if r < rounds - 1:
            by_hand, influence = sizes[r]
            now[:, n : n + m] -= three.plane * (unit * turns[r])
            now[:, at : at + m] -= three.plane * by_hand
            now[:, at + m : at + m + n] = np.diag(influence)
            for k in range(at, at + m + n):
                add(np.eye(width)[k], 0.0, 1.0)
            at += m + n
    design = np.array(rows)
    found = lsq_linear(design, np.array(wanted), tol=1e-14)
    covariance = np.linalg.inv(design.T @ design)
    assert state.gaps == pytest.approx(now @ found.x, abs=1e-9)
    assert state.u == pytest.approx(np.sqrt(np.diagonal(now @ covariance @ now.T)), abs=1e-9)
    assert state.mean[n : n + m] == pytest.approx(found.x[n : n + m], abs=1e-7)


def test_the_share_of_a_twist_is_learnt_from_a_twist(machine):
    """A floating plate takes a fifth of a commanded twist; after one twist the model has noticed."""
    layout = layout_of(machine())
    state = model.read(model.before(layout), _brackets(np.full(4, 0.4)))
    saddle = np.array([0.5, -0.5, -0.5, 0.5])
    after = model.turned(state, saddle)
    arrived = (layout.plane + 0.2 * layout.bend) @ (-0.5 * saddle)
    known = model.read(after, _brackets(state.gaps - arrived))
    assert state.share == pytest.approx(0.92, abs=0.01)
    assert known.share < 0.5


def test_an_unread_point_is_foretold_from_the_others(machine):
    layout = layout_of(machine())
    state = model.read(
        model.before(layout),
        {0: Seen(0.29, 0.31, 0.005), 1: Seen(0.39, 0.41, 0.005), 2: Seen(0.19, 0.21, 0.005)},
    )
    assert state.gaps[3] == pytest.approx(0.3, abs=0.05)
    assert 0.1 < state.u[3] < 1.5  # a twist may hide there


@pytest.mark.parametrize("seed", range(3))
def test_expectations_after_turns_are_calibrated(machine, seed):
    """Of beds drawn from the model itself, about 95 in 100 lie within two standard uncertainties."""
    layout = layout_of(machine())
    rng = np.random.default_rng(seed)
    inside = []
    for _ in range(150):
        first = model.before(layout)
        truth = rng.multivariate_normal(first.mean, first.covariance)
        gaps, pitch = truth[:4], truth[4:8] * -0.5
        state = model.read(first, _brackets(gaps + rng.normal(0.0, 0.0075, 4)))
        turns = rng.normal(0.0, 0.4, 4)
        influence = layout.plane + truth[-1] * layout.bend
        real = turns + rng.normal(0.0, layout.angle)
        gaps = gaps - influence @ (pitch * real)
        state = model.turned(state, turns)
        inside.append(np.abs(state.gaps - gaps) <= 2.0 * state.u)
    assert 0.92 <= np.mean(inside) <= 1.0
