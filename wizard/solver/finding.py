"""What the solver returns. Values only; wording lives in `wizard.instructions`."""

from __future__ import annotations

from typing import Literal

import msgspec

Verdict = Literal["within", "outside", "undecided"]
Status = Literal[
    "level",
    "turn",
    "measure-again",
    "not-by-adjusters",
    "out-of-travel",
    "underdetermined",
    "inconsistent",
]
SuspicionKind = Literal["turned-other-way", "not-turned", "other-adjuster", "reading-slipped", "home-shifted"]


class PointFinding(msgspec.Struct, frozen=True):
    """One point, mm. `predicted_mm` is the gap expected once the proposed turns are made."""

    gap_mm: float
    u_mm: float
    deviation_mm: float
    predicted_mm: float


class Shape(msgspec.Struct, frozen=True):
    """The plate's form from the gaps; flatness after ISO 12781-1."""

    tilt_x_mm_per_m: float
    tilt_y_mm_per_m: float
    twist_mm: float
    bow_mm: float
    flatness_minimum_zone_mm: float
    flatness_least_squares_mm: float


class Learned(msgspec.Struct, frozen=True):
    """What an adjuster really does for a clockwise turn (signed, raises is +) and how sure that is."""

    mm_per_turn: float
    u: float


class Suspicion(msgspec.Struct, frozen=True):
    """The likeliest story behind readings that do not fit. Asked about, never acted on silently."""

    kind: SuspicionKind
    odds: float
    adjuster: str | None = None
    point: str | None = None


class Ask(msgspec.Struct, frozen=True):
    """A point worth reading next, and where to start the leaf or card there."""

    point: str
    expected_gap_mm: float
    u_mm: float
    leaf_mm: float | None = None


class WayOut(msgspec.Struct, frozen=True):
    """What to do where an adjuster comes to its end: level the plate at another height.

    turns: inside the travel that is left, clockwise positive. nozzle_mm: how far the nozzle then has to be
    raised (+), by the endstop or a stored offset. worst_mm: the largest deviation that remains after both.
    """

    turns: dict[str, float]
    nozzle_mm: float
    worst_mm: float


class Limits(msgspec.Struct, frozen=True):
    """Why a tolerance cannot be proven with what is at hand, mm.

    step_mm: deviation that the adjusters' steps may leave at the best lattice point (95 in 100 beds).
    reading_mm: expanded uncertainty of one reading with the best gauge at hand. They do not fit together
    where their sum is more than tolerance_mm.
    """

    step_mm: float
    reading_mm: float
    tolerance_mm: float


class Finding(msgspec.Struct, frozen=True):
    """Verdict by ISO 14253-1, what to turn, what to expect, what the plate is like.

    turns: clockwise positive as seen from the profile's side; only adjusters that move are in it.
    height_change_mm: raise of the nozzle (+) still wanted where height is set apart, else None.
    coarse: the turns only bring the plate into the gauge's range, by facts that are one-sided.
    best_possible_mm: the largest deviation that would remain at the best setting of all adjusters.
    ask: points to read next, the most useful first.
    points: those of which something is known, by a reading or from the others.
    way_out: where an adjuster comes to its end. limits: where steps, gauge and tolerance cannot agree.
    """

    verdict: Verdict
    status: Status
    turns: dict[str, float] = {}
    height_change_mm: float | None = None
    points: dict[str, PointFinding] = {}
    shape: Shape | None = None
    learned: dict[str, Learned] = {}
    suspicion: Suspicion | None = None
    coarse: bool = False
    best_possible_mm: float | None = None
    ask: tuple[Ask, ...] = ()
    way_out: WayOut | None = None
    limits: Limits | None = None

    @property
    def worst_deviation_mm(self) -> float | None:
        """The largest deviation from the target gap over all points, without sign."""
        return max((abs(p.deviation_mm) for p in self.points.values()), default=None)
