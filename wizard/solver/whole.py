"""Rounds -> finding: follows the rounds, chooses the turns, judges, and says what comes next."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from profiles.machine import Machine
from wizard.rounds import Round
from wizard.solver.ask import questions
from wizard.solver.choose import SAFETY, SAFETY_CLOSED, Choice, Plan, choose, safe
from wizard.solver.decide import status
from wizard.solver.estimate import Known, follow
from wizard.solver.finding import Finding, Learned, PointFinding, Shape, WayOut
from wizard.solver.layout import layout_of
from wizard.solver.leastsquares import Array
from wizard.solver.proofs import unread, without
from wizard.solver.reach import agree, limits_of
from wizard.solver.shape import shape_of
from wizard.solver.state import nominal
from wizard.solver.verdict import verdict

OPEN_U_MM = 0.12  # a point known no better than this by a one-sided fact needs a coarse turn first
KNOWN_U_MM = 0.3  # a point known less well than this is not told of unless it was read
KEEP_MM = 0.03  # of what a one-sided fact says is free, never used up
LEAP = 0.6  # share of the target gap by which a coarse turn may aim beyond what a one-sided fact says
_wild = np.errstate(over="ignore", divide="ignore", invalid="ignore", under="ignore")  # any input is taken
AWAY_MM = (0.1, 0.2, 0.4)  # farther from the nozzle than wanted, tried in turn by coarse turns
SURE = 0.99  # a direction is known when one of the two is that likely


@_wild
def expect(machine: Machine, rounds: Sequence[Round]) -> dict[str, tuple[float, float]]:
    """Return expected gap and standard uncertainty of every point now, mm.

    While a direction is unknown both possibilities count: the mean lies between, the uncertainty spans both.
    """
    ways = _ways(machine, rounds)
    shares = _shares(ways)
    gaps = np.array([way.state.gaps for way in ways])
    mean = shares @ gaps
    u = np.sqrt(shares @ (np.array([way.state.u for way in ways]) ** 2 + (gaps - mean) ** 2))
    names = ways[0].state.layout.points
    return {name: (float(mean[i]), float(u[i])) for i, name in enumerate(names)}


def _ways(machine: Machine, rounds: Sequence[Round]) -> list[Known]:
    """Return what is known, once for each direction that unknown adjusters may have."""
    layout = layout_of(machine)
    signs = (1.0, -1.0) if layout.unknown_way.any() else (1.0,)
    return [follow(layout, rounds, sign) for sign in signs]


def _shares(ways: list[Known]) -> Array:
    """Return the probability of each way."""
    weights = np.array([way.log_likelihood for way in ways])
    shares = np.exp(weights - weights.max())
    return np.asarray(shares / shares.sum())


def _likely(ways: list[Known]) -> list[Known]:
    """Return the ways that are still possible, the likeliest first."""
    shares = _shares(ways)
    order = sorted(range(len(ways)), key=lambda i: -shares[i])
    return [ways[i] for i in order if shares[i] >= 1.0 - SURE or i == order[0]]


@_wild
def solve(machine: Machine, rounds: Sequence[Round]) -> Finding:
    """Return the finding. See `wizard.solver.solve`."""
    machine = without(machine, unread(machine, rounds))
    ways = _likely(_ways(machine, rounds))
    known = ways[0]
    if not known.state.layout.points:
        return Finding("undecided", "underdetermined")
    layout = known.state.layout
    coarse = _coarse_rows(known)
    choice, turns = _chosen(ways, coarse)
    limits = limits_of(machine)
    plan = Plan(choice, turns, bool(coarse))
    said = verdict(known.state.gaps - layout.target_mm, known.state.u, layout.tolerance_mm)
    ask = questions(known, plan, said, machine.gauge, limits.reading_mm)
    follows = status(known, said, plan, ask)
    if follows == "level":  # then nothing is left to turn, whatever might be a little better
        turns = np.zeros_like(turns)
    height = (0.0 if follows == "level" else _height(known, turns)) if layout.height_apart else None
    return Finding(
        verdict=said,
        status=follows,
        turns={name: float(t) for name, t in zip(layout.adjusters, turns, strict=True) if t},
        height_change_mm=height,
        points=_points(known, turns, height or 0.0),
        shape=_shape(known) if not coarse else None,
        learned=_learned(known),
        suspicion=known.suspicion,
        coarse=bool(coarse),
        best_possible_mm=choice.ideal_mm,
        ask=ask,
        way_out=_way_out(known, choice),
        limits=None if agree(limits) else limits,
    )


def _chosen(ways: list[Known], coarse: list[int]) -> tuple[Choice, Array]:
    """Return the best choice, and what of it is safe.

    Where it is only to bring the plate into the gauge's range and all of it would not be safe, the plate is
    taken away from the nozzle on the way: then nothing can rise too far, and everything is seen from there.
    """
    known = ways[0]
    planned, free = _planned(known, coarse), _free(known)
    factor = SAFETY if coarse or len(ways) > 1 else SAFETY_CLOSED
    states = [way.state for way in ways]
    choice = choose(known.state, known.used, planned)
    turns = safe(states, choice.turns, free, factor)
    if not coarse or known.state.layout.height_apart or len(ways) > 1:
        return choice, turns
    for away_mm in AWAY_MM:
        if np.array_equal(turns, choice.turns):
            break
        choice = choose(known.state, known.used, planned - away_mm)
        turns = safe(states, choice.turns, free, factor)
    return choice, turns


def _coarse_rows(known: Known) -> list[int]:
    """Return the points of which only one side is known, and not well enough from the others."""
    u = known.state.u
    return [row for row, bracket in known.seen.items() if not bracket.closed and u[row] > OPEN_U_MM]


def _planned(known: Known, coarse: list[int]) -> Array:
    """Return the gaps to plan for: the expected ones, by one-sided facts not much beyond what is known."""
    gaps = known.state.gaps.copy()
    for row in coarse:
        bracket = known.seen[row]
        if np.isfinite(bracket.low):
            gaps[row] = min(gaps[row], bracket.low + LEAP * known.state.layout.target_mm)
        else:
            gaps[row] = max(gaps[row], bracket.high - 0.5)
    return gaps


def _free(known: Known) -> Array:
    """Return what is known to be free under the nozzle, mm: by a gauge that passed, else as good as certain.

    Of what a one-sided fact tells a margin is kept.
    """
    free = known.state.gaps - 3.0 * known.state.u
    for row, bracket in known.seen.items():
        if np.isfinite(bracket.low):
            free[row] = bracket.low - (0.0 if bracket.closed else KEEP_MM)
    return free


def _height(known: Known, turns: Array) -> float:
    layout = known.state.layout
    return layout.height_mm(known.state.gaps - known.state.effect @ turns - layout.target_mm)


def _points(known: Known, turns: Array, height_mm: float) -> dict[str, PointFinding]:
    state, layout = known.state, known.state.layout
    after = state.gaps - state.effect @ turns + height_mm
    return {
        name: PointFinding(
            gap_mm=float(state.gaps[i]),
            u_mm=float(state.u[i]),
            deviation_mm=float(state.gaps[i] - layout.target_mm),
            predicted_mm=float(after[i]),
        )
        for i, name in enumerate(layout.points)
        if i in known.seen or state.u[i] <= KNOWN_U_MM
    }


def _shape(known: Known) -> Shape | None:
    """Return the form of what has been read, by the gaps as they are known now."""
    rows = sorted(known.ever)
    return shape_of(known.state.layout.at[rows], known.state.gaps[rows])


def _way_out(known: Known, choice: Choice) -> WayOut | None:
    layout = known.state.layout
    if choice.way_out is None or layout.height_apart:
        return None
    after = known.state.gaps - known.state.effect @ choice.way_out - layout.target_mm
    worst = float(np.ptp(after)) / 2.0
    turns = {name: float(t) for name, t in zip(layout.adjusters, choice.way_out, strict=True) if t}
    return WayOut(turns, -float(after.max() + after.min()) / 2.0, worst)


def _learned(known: Known) -> dict[str, Learned]:
    state, layout = known.state, known.state.layout
    n = len(layout.points)
    relative = np.sqrt(np.diagonal(state.covariance)[n : n + len(layout.adjusters)])
    u = relative * np.abs(nominal(layout, state.sign))
    return {
        name: Learned(float(state.mm_per_turn[j]), float(u[j])) for j, name in enumerate(layout.adjusters)
    }
