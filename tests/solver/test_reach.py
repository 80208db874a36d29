"""What steps and gauge allow, from beds spread evenly instead of drawn at random."""

from __future__ import annotations

import subprocess
import sys

import msgspec
import numpy as np
import pytest

from profiles.load import load
from wizard.solver import state as model
from wizard.solver.lattice import Problem, best
from wizard.solver.layout import layout_of
from wizard.solver.reach import limits_of


@pytest.mark.parametrize("profile", ["four-corner-220", "three-point-225", "touch-probe-255"])
def test_what_steps_leave_is_what_they_leave_on_beds_drawn_at_random(profile: str) -> None:
    """numpy's own generator draws ten times as many beds; the 95 % quantile agrees within a tenth."""
    layout = layout_of(load(profile))
    effect = model.before(layout).effect * layout.step
    reach = np.full(len(layout.adjusters), 1e5)
    beds = np.random.default_rng(5).uniform(-0.5, 0.5, (600, len(layout.adjusters))) @ effect.T
    left = [best(Problem(bed, effect, -reach, reach, layout.height_apart)).value for bed in beds]
    assert limits_of(load(profile)).step_mm == pytest.approx(float(np.quantile(left, 0.95)), rel=0.1)


@pytest.mark.parametrize("profile", ["four-corner-220", "endstop-screw-120"])
def test_steps_leave_no_more_where_points_only_prove(profile: str) -> None:
    """In the middle of an edge the plate is off by no more than at the edge's ends."""
    machine = load(profile)
    assert machine.levelling_points != machine.point
    everywhere = tuple(msgspec.structs.replace(point, only=None) for point in machine.point)
    as_points = msgspec.structs.replace(machine, point=everywhere)
    assert limits_of(machine).step_mm == pytest.approx(limits_of(as_points).step_mm)


def test_the_solver_loads_nothing_of_numpy_that_weighs_more_than_itself() -> None:
    """A host can be as small as a board beside the printer."""
    code = (
        "import sys; from profiles.load import load; from wizard.solver import expect, solve;"
        "machine = load('four-corner-220'); expect(machine, []); solve(machine, []);"
        "from wizard.solver.reach import limits_of; limits_of(machine); "
        "print(*{'numpy.random', 'numpy.ma', 'numpy.polynomial', 'numpy.fft'} & set(sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == ""
