"""When readings do not fit: the likely stories, weighed against each other by marginal likelihood.

A story is a change to what was reported (a turn made the other way, a reading that slipped, ...). Its
weight is its prior probability times the probability density of the readings under it. Only where
the readings are a surprise are stories weighed at all.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from wizard.solver import priors
from wizard.solver import state as model
from wizard.solver.brackets import Seen
from wizard.solver.evidence import evidence, surprise
from wizard.solver.finding import Suspicion, SuspicionKind
from wizard.solver.layout import Layout
from wizard.solver.leastsquares import Array
from wizard.solver.state import State


@dataclass(frozen=True, eq=False)
class Past:
    """The last turns, and what was known before them: state, its start, brackets since that start."""

    state: State
    start: State
    seen: dict[int, Seen]
    turns: Array

    def lifted(self, nozzle_mm: float) -> Past:
        """Return the same past for a nozzle that stands higher."""
        state, start = model.raised(self.state, nozzle_mm), model.raised(self.start, nozzle_mm)
        return Past(state, start, {row: one.lifted(nozzle_mm) for row, one in self.seen.items()}, self.turns)


@dataclass(frozen=True, eq=False)
class Story:
    """What may have happened: log prior, what was then known before the readings, the readings in its light.

    kind None: nothing out of the ordinary.
    """

    kind: SuspicionKind | None
    log_prior: float
    start: State
    seen: dict[int, Seen]
    adjuster: str | None = None
    point: str | None = None
    home_mm: float = priors.HOME_MM

    @property
    def weight(self) -> float:
        """Log of prior times likelihood."""
        return self.log_prior + evidence(self.start, self.seen, self.home_mm).log_likelihood


class Weighed(NamedTuple):
    """The likeliest story, the suspicion to ask about (if any), and the surprise that is left under it."""

    story: Story
    suspicion: Suspicion | None
    surprise: float

    def then(self, repeated: Weighed) -> Weighed:
        """Return the same with the suspicion of a repeated reading, the readings being kept as they are."""
        return Weighed(self.story, repeated.suspicion, max(self.surprise, repeated.surprise))


def likeliest(start: State, seen: dict[int, Seen], past: Past | None) -> Weighed:
    """Return the likeliest story behind the readings.

    start: what was known before the readings if all is as reported. past: the turns just before, if any.
    """
    plain = Story(None, 0.0, start, seen)
    far_out = surprise(start, seen)
    if far_out < priors.SURPRISE:
        return Weighed(plain, None, far_out)
    if _knows_nothing(start, seen):
        return Weighed(plain, None, 0.0)
    stories = [*_of_readings(start, seen), *(_of_turns(past, seen) if past else ())]
    weights = np.array([plain.weight, *(story.weight for story in stories)])
    best = int(np.argmax(weights[1:]))
    others = np.delete(weights, best + 1)
    log_odds = float(weights[best + 1] - others.max() - np.log(np.exp(others - others.max()).sum()))
    odds_to_plain = float(weights[best + 1] - weights[0])
    if odds_to_plain < math.log(priors.ODDS):
        return Weighed(plain, None, far_out)
    story = stories[best]
    assert story.kind is not None
    odds = math.exp(min(max(log_odds, -20.0), 20.0))
    left = surprise(story.start, story.seen, story.home_mm)
    return Weighed(story, Suspicion(story.kind, odds, story.adjuster, story.point), left)


def _knows_nothing(start: State, seen: dict[int, Seen]) -> bool:
    """Whether all readings are of points of which hardly anything was known: nothing can surprise then."""
    return bool(start.u[list(seen)].min() > priors.VAGUE_MM)


def _of_readings(start: State, seen: dict[int, Seen]) -> Iterator[Story]:
    points = start.layout.points
    slip = math.log(priors.SLIP["reading-slipped"])
    for row in _farthest_out(start, seen):
        loose = {**seen, row: seen[row]._replace(hand=priors.SLIPPED_MM)}
        yield Story("reading-slipped", slip, start, loose, point=points[row])
    shift = math.log(priors.SLIP["home-shifted"])
    yield Story("home-shifted", shift, start, seen, home_mm=priors.HOME_SHIFTED_MM)


def _of_turns(past: Past, seen: dict[int, Seen]) -> Iterator[Story]:
    layout = past.state.layout
    for kind, prior, turns, name in _other_turns(layout, past.turns):
        yield Story(kind, math.log(prior), model.turned(past.state, turns), seen, adjuster=name)
    slip = math.log(priors.SLIP["reading-slipped"])
    nominal = model.turned(past.state, past.turns)
    for row in _farthest_out(nominal, seen):
        if row in past.seen and past.seen[row].closed:
            loose = {**past.seen, row: past.seen[row]._replace(hand=priors.SLIPPED_MM)}
            before = model.turned(model.read(past.start, loose), past.turns)
            yield Story("reading-slipped", slip, before, seen, point=layout.points[row])


def _farthest_out(start: State, seen: dict[int, Seen]) -> list[int]:
    """Return the few points whose readings lie farthest from what was known: one of them slipped, if any."""
    far = {
        row: abs(bracket.middle - float(start.gaps[row])) / math.hypot(float(start.u[row]), bracket.u)
        for row, bracket in seen.items()
        if bracket.closed
    }
    return sorted(far, key=lambda row: -far[row])[: priors.SLIPS_LOOKED_AT]


def _other_turns(layout: Layout, turns: Array) -> Iterator[tuple[SuspicionKind, float, Array, str | None]]:
    """Yield what may have been turned instead: kind, prior probability, turns (m,), adjuster."""
    made = np.flatnonzero(turns)
    for j in made:
        name = layout.adjusters[j]
        for kind, factor in (("turned-other-way", -1.0), ("not-turned", 0.0)):
            other = turns.copy()
            other[j] *= factor
            yield kind, priors.SLIP[kind], other, name  # type: ignore[misc]
        others = [k for k in range(len(turns)) if k != j]
        for k in others:
            prior = priors.SLIP["other-adjuster"] / len(others)
            other = turns.copy()  # made at another one, on top of that one's own
            other[j], other[k] = 0.0, turns[k] + turns[j]
            yield "other-adjuster", prior, other, name
            if turns[k] and k > j:
                other = turns.copy()  # the two are taken for each other
                other[j], other[k] = turns[k], turns[j]
                yield "other-adjuster", prior, other, name
    if len(made) > 1:
        yield "turned-other-way", priors.SLIP_OF_ALL, -turns, None
