"""How long a support that sinks slowly goes on unseen through a series of rechecks.

Made-up beds as in recheck.py, each just proven. Then one support moves by a small step before every recheck,
always the same way, and the height is set where the recheck says so, until it says that the plate has moved.
Told is in how many series a recheck let the plate pass though it was beyond tolerance at its best height.
"last level" compares with the last run that read the whole plate, as the program does; "last run" with the
recheck before.

    python tests/benchmarks/recheck_series.py [COUNT] [SEED]
"""

from __future__ import annotations

import sys
from collections.abc import Sequence

import numpy as np
from recheck import Hand, machine_of, proven, recheck  # beside this file

from wizard.base import Base
from wizard.rounds import Reading, Round
from wizard.since import Change
from wizard.solver.layout import layout_of, support_influence

NAMES = ("three-point-225", "four-corner-220", "endstop-screw-120")
STEPS_MM = (0.02, 0.04)
MOST = 15


def known_after(change: Change) -> Base:
    """Return what the recheck knew at its end, as something to compare with."""
    half, set_mm = np.sqrt(3.0), change.set_mm
    points = change.finding.points
    read = {
        name: Reading(p.gap_mm + set_mm - half * p.u_mm, p.gap_mm + set_mm + half * p.u_mm)
        for name, p in points.items()
    }
    return Base("one before", "", 1.0, (Round(read),))


def passed_beyond(name: str, step_mm: float, hand: Hand, *, last_run: bool) -> int:
    """Return how many rechecks of one series passed although the plate was beyond tolerance."""
    machine = machine_of(name)
    layout, (_, _, influence) = layout_of(machine), support_influence(machine)
    gaps, base = proven(machine, layout, hand)
    sinks = step_mm * influence[:, hand.rng.integers(influence.shape[1])] * hand.rng.choice([-1.0, 1.0])
    passed = 0
    for _ in range(MOST):
        gaps = gaps + sinks + hand.rng.normal(0.0, 0.001, len(gaps))
        change, _ = recheck(machine, base, dict(zip(layout.points, map(float, gaps), strict=True)), hand)
        if change.kind in ("tilt", "wrong"):
            return passed
        passed += bool(np.ptp(gaps) / 2.0 > layout.tolerance_mm)
        gaps = gaps + change.set_mm
        base = known_after(change) if last_run else base
    return passed


def line(name: str, step_mm: float, count: int, seed: int, *, last_run: bool) -> str:
    """Return one row of the table."""
    hand = Hand(np.random.default_rng(seed))
    passed: Sequence[int] = [passed_beyond(name, step_mm, hand, last_run=last_run) for _ in range(count)]
    late = 100.0 * sum(map(bool, passed)) / count
    return (
        f"{name:20} {step_mm:.2f} mm a recheck, held against the last {'run' if last_run else 'level':6} "
        f"series with one let pass {late:5.1f} %  most let pass {max(passed)}"
    )


def main(count: int = 200, seed: int = 1) -> None:
    """Print the table."""
    print(f"{count} series each, seed {seed}")
    for name in NAMES:
        for step_mm in STEPS_MM:
            for last_run in (False, True):
                print(line(name, step_mm, count, seed, last_run=last_run), flush=True)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
