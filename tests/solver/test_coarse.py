"""A bed far out of the gauge's range is brought into it, and the plate never reaches the nozzle."""

from __future__ import annotations

import numpy as np
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from profiles.machine import Adjuster, Bed, FirstLayer, Gauge, Height, Machine, Motion, Point
from wizard.rounds import Reading, Round
from wizard.solver import solve

THREE = {"left": (30.0, 190.0), "right": (190.0, 190.0), "front": (110.0, 30.0)}
POINTS = {"fl": (30.0, 30.0), "fr": (190.0, 30.0), "br": (190.0, 190.0), "bl": (30.0, 190.0)}
THICKEST, THINNEST = 1.0, 0.05


def machine(clockwise: str) -> Machine:
    return Machine(
        name="coarse",
        bed=Bed(size_mm=(220.0, 220.0)),
        motion=Motion(x_mm=(0, 220), y_mm=(0, 220), z_mm=(0, 200)),
        first_layer=FirstLayer(height_mm=0.2, gap_mm=0.15, tolerance_mm=0.05),
        height=Height(by="bed adjusters"),
        gauge=Gauge(leaves_mm=tuple(round(0.05 * i, 2) for i in range(1, 21))),
        adjuster=tuple(
            Adjuster(name=n, at_mm=at, thread="M3", clockwise=clockwise, travel_turns=(-20.0, 20.0))
            for n, at in THREE.items()
        ),
        point=tuple(Point(name=n, at_mm=at) for n, at in POINTS.items()),
    )


def by_leaf(gap: float) -> Reading:
    if gap >= THICKEST:
        return Reading(THICKEST, None, "leaf")
    if gap < THINNEST:
        return Reading(None, THINNEST, "leaf")
    low = np.floor(gap / 0.05 + 1e-9) * 0.05
    return Reading(float(low), float(low + 0.05), "leaf")


def rises(places: dict[str, tuple[float, float]], plane: np.ndarray) -> np.ndarray:
    return np.array([plane @ (1.0, x, y) for x, y in places.values()])


@settings(max_examples=40, deadline=None)
@given(
    st.tuples(st.floats(0.3, 3.0), st.floats(0.3, 3.0), st.floats(0.3, 3.0)),
    st.floats(0.9, 1.1),
    st.sampled_from(["lowers", "unknown"]),
    st.booleans(),
)
def test_it_comes_into_range_without_touching(low_by, real_pitch, clockwise, really_raises):
    """The truth: a rigid plate on three screws, through whose heads a plane is laid by solving for it."""
    model = machine(clockwise)
    sign = (1.0 if really_raises else -1.0) if clockwise == "unknown" else -1.0
    heads = np.array([(1.0, x, y) for x, y in THREE.values()])
    height = np.linalg.solve(heads, -np.array(low_by))
    # With an unknown direction the way is told by the gauge only: not where hardly anything is free
    # (trial turns are too small then), nor where all is far beyond its range.
    first = -rises(POINTS, height)
    assume(first.min() > 0.0)
    assume(clockwise != "unknown" or (first.min() > 0.3 and first.max() < 1.6))
    rounds: list[Round] = []
    for _ in range(14):
        gaps = -rises(POINTS, height)
        assert gaps.min() > -0.02, "the plate reached the nozzle"
        readings = dict(zip(POINTS, map(by_leaf, gaps), strict=True))
        finding = solve(model, [*rounds, Round(readings)])
        if not finding.coarse:
            break
        if clockwise == "unknown" and finding.status == "measure-again":
            # Where nothing is free at a point, no turn of unknown direction is safe: nothing is turned.
            assert finding.turns == {}
            assert min(r.low_mm or 0.0 for r in readings.values()) < 0.1
            return
        assert finding.status == "turn"
        raised = sign * 0.5 * real_pitch * np.array([finding.turns.get(n, 0.0) for n in THREE])
        free = [r.low_mm for r in readings.values() if r.low_mm is not None]
        rise = rises(POINTS, np.linalg.solve(heads, raised))
        if len(free) == len(POINTS):
            assert np.all(rise <= np.array(free)), "a rise beyond what is known to be free"
        height = height + np.linalg.solve(heads, raised)
        rounds.append(Round(readings, finding.turns))
    assert not finding.coarse
