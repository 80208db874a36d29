"""One made-up printer with a person at it: true gaps, true screws, a hand that errs, a gauge that is felt.

The truth leaves it only through what a person could say: whether a card passes, drags or is held,
which leaf slides and which does not enter.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from elastic import response

from profiles.machine import Machine
from wizard.rounds import Reading


@dataclass(frozen=True)
class Kind:
    """What a scenario's printers and people are like. Lengths in mm, angles in degrees."""

    pitch_range: float = 0.01  # real pitch off nominal by up to this share
    hand_deg: float = 5.0
    bow_mm: tuple[float, float] = (-0.015, 0.015)
    spring_n_mm: tuple[float, float] = (1e4, 1e4)
    drag_mm: float = 0.010
    touch_mm: float = 0.003
    home_mm: float = 0.003
    leaf_mm: float = 0.004


class World:
    """A printer and a person, made from a seed."""

    def __init__(self, machine: Machine, kind: Kind, seed: int) -> None:
        self.machine, self.kind, self.rng = machine, kind, np.random.default_rng(seed)
        rng = self.rng
        self.points = np.array([p.at_mm for p in machine.point])
        supports = tuple(a.at_mm for a in machine.adjuster)
        low, high = np.log(kind.spring_n_mm[0]), np.log(kind.spring_n_mm[1])
        spring = float(np.exp(rng.uniform(low, high)))
        size = machine.bed.size_mm[0]
        self.rise = response(tuple(p.at_mm for p in machine.point), supports, size, 3.0, spring)
        nominal = np.array([-0.5 if a.clockwise == "lowers" else 0.5 for a in machine.adjuster])
        self.per_turn = nominal * (1.0 + rng.uniform(-1, 1, len(supports)) * kind.pitch_range)
        self.steps = np.array([a.step_turns for a in machine.adjuster])
        # Snugged down: the plate hangs low, each support by its own amount.
        low_by = rng.uniform(0.15, 0.75) + rng.normal(0.0, 0.15, len(supports))
        xy = (self.points - size / 2.0) / (size / 2.0)
        bow = rng.uniform(*kind.bow_mm)
        form = bow * (1.0 - (xy**2).sum(axis=1) / 2.0) + rng.normal(0, 0.008) * xy[:, 0] * xy[:, 1]
        self.heights = form + rng.normal(0.0, 0.003, len(xy)) - self.rise @ low_by
        self.shift = 0.0
        self.answers = self.trials = self.readings = self.turns = 0

    @property
    def target(self) -> float:
        return self.machine.wanted_gap_mm

    @property
    def true_gaps(self) -> np.ndarray:
        return self.target - self.heights

    @property
    def truly_within(self) -> bool:
        return bool(np.abs(self.heights).max() <= self.machine.first_layer.tolerance_mm)

    def home(self) -> None:
        self.shift = float(self.rng.normal(0.0, self.kind.home_mm))

    def gap(self, point: str, z_mm: float) -> float:
        row = [p.name for p in self.machine.point].index(point)
        return float(self.true_gaps[row]) + z_mm - self.machine.measuring_height_mm + self.shift

    def daylight(self, point: str, z_mm: float, thick_mm: float) -> bool:
        self.answers += 1
        self.trials += 1
        layered = 0.0 if thick_mm > 0.7 else self.rng.normal(0.0, 0.03) * thick_mm  # folded paper is uneven
        return self.gap(point, z_mm) > thick_mm + layered

    def feel(self, point: str, z_mm: float, card_mm: float) -> str:
        self.answers += 1
        self.trials += 1
        off = self.gap(point, z_mm) - card_mm + self.rng.normal(0.0, self.kind.touch_mm)
        return "drag" if abs(off) <= self.kind.drag_mm else ("free" if off > 0.0 else "tight")

    def leaf(self, point: str, z_mm: float, start_mm: float | None) -> Reading:
        """Thickest leaf that slides, thinnest that does not enter; an answer, a trial for each leaf."""
        self.answers += 1
        leaves = self.machine.gauge.leaves_mm
        gap = self.gap(point, z_mm)
        slides: dict[int, bool] = {}
        low, high = -1, len(leaves)  # slides up to low, does not enter from high on
        at = (
            len(leaves) // 2
            if start_mm is None
            else min(range(len(leaves)), key=lambda i: abs(leaves[i] - start_mm))
        )
        stride = 1 if start_mm is not None else len(leaves)
        while high - low > 1:
            self.trials += 1
            slides[at] = leaves[at] < gap + self.rng.normal(0.0, self.kind.leaf_mm)
            low, high = (at, high) if slides[at] else (low, at)
            past = at + stride if slides[at] else at - stride
            at = past if low < past < high else (low + high) // 2
            stride *= 2
        passed = [leaves[i] for i, yes in slides.items() if yes]
        held = [leaves[i] for i, yes in slides.items() if not yes]
        return Reading(max(passed, default=None), min(held, default=None), "leaf")

    def turn(self, adjuster: str, turns: float) -> None:
        if turns == 0.0:
            return
        self.turns += 1
        names = [a.name for a in self.machine.adjuster]
        j = names.index(adjuster)
        real = turns + self.rng.normal(0.0, self.kind.hand_deg / 360.0)
        self.heights = self.heights + self.rise[:, j] * self.per_turn[j] * real

    def a_setting_within_exists(self) -> bool:
        """Whether some real setting of the screws brings every point within (least squares, then polish)."""
        from scipy.optimize import linprog

        m = self.rise.shape[1]
        a = np.vstack(
            [np.c_[self.rise, -np.ones(len(self.rise))], np.c_[-self.rise, -np.ones(len(self.rise))]]
        )
        b = np.concatenate([-self.heights, self.heights])
        found = linprog(np.r_[np.zeros(m), 1.0], A_ub=a, b_ub=b, bounds=[(None, None)] * (m + 1))
        return bool(found.fun <= self.machine.first_layer.tolerance_mm)
