"""Each story with what it makes of the readings: the gaps as they would be, and how likely it is."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from profiles.machine import Machine
from wizard.base import Base
from wizard.rounds import Round
from wizard.since.stories import SLIPPED_MM, Story, stories
from wizard.solver import state as model
from wizard.solver.brackets import Seen, seen
from wizard.solver.estimate import follow
from wizard.solver.evidence import evidence
from wizard.solver.layout import Layout, layout_of
from wizard.solver.leastsquares import Array
from wizard.solver.state import State


@dataclass(frozen=True, eq=False)
class Told:
    """A story after the readings: gaps now by it, its weight among all, how far out the readings lie."""

    story: Story
    state: State
    weight: float
    surprise: float


def base_state(machine: Machine, base: Base) -> State:
    """Return what the proven run knew at its end."""
    layout = layout_of(machine)
    signs = (1.0, -1.0) if layout.unknown_way.any() else (1.0,)
    ways = [follow(layout, base.rounds, sign) for sign in signs]
    return max(ways, key=lambda way: way.log_likelihood).state


def usable(layout: Layout, readings: Round) -> dict[int, Seen]:
    """Return the usable brackets by row of the point."""
    found = {layout.index(name): seen(reading) for name, reading in readings.readings.items()}
    return {row: bracket for row, bracket in found.items() if row is not None and bracket is not None}


def weigh(machine: Machine, base: Base, readings: Round) -> list[Told]:
    """Return all stories, weighed; weights add up to 1. The first is that only the height changed."""
    layout, start = layout_of(machine), base_state(machine, base)
    brackets = usable(layout, readings)
    each = [_told(start, story, brackets) for story in stories(layout, sorted(brackets))]
    logs = np.array([told[2] for told in each])
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    return [Told(s, after, float(w), far) for (s, after, _, far), w in zip(each, weights, strict=True)]


def _told(start: State, story: Story, brackets: Mapping[int, Seen]) -> tuple[Story, State, float, float]:
    """Return the story, the state after the readings, the log of share times likelihood, the surprise."""
    widened = spread_by(start, story.spread)
    read = {
        row: one._replace(hand=math.hypot(one.hand, SLIPPED_MM)) if row == story.slipped else one
        for row, one in brackets.items()
    }
    if not read:
        return story, widened, math.log(story.share), 0.0
    fits = evidence(widened, read)
    return story, model.read(widened, read), math.log(story.share) + fits.log_likelihood, fits.surprise


def spread_by(state: State, spread: Array) -> State:
    """Return the state with its gaps less certain by `spread`, (n, n) mm^2."""
    n = len(state.layout.points)
    covariance = state.covariance.copy()
    covariance[:n, :n] += spread
    return State(state.layout, state.mean, covariance, state.sign)


def gap_covariance(state: State) -> Array:
    """Return the covariance of the gaps alone, (n, n) mm^2."""
    n = len(state.layout.points)
    whole: Array = state.covariance[:n, :n]
    return whole
