"""The influence against a finite-element plate (Morley elements, scikit-fem): supports inside the edge.

A thin plate held at its supports, free elsewhere. How far the influence departs is printed, and has to
stay below the relative error that the model states for it (`priors.INFLUENCE`).
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest
import skfem
from skfem.helpers import dd, ddot, eye, trace

from wizard.solver import priors
from wizard.solver.influence import bend_influence, plane_influence

SIZE, NU = 220.0, 0.33
BOX = np.array([[0.0, 0.0], [SIZE, SIZE]])


@lru_cache
def plate() -> tuple[skfem.Basis, object]:
    steps = np.linspace(0.0, SIZE, 23)
    basis = skfem.Basis(skfem.MeshTri.init_tensor(steps, steps), skfem.ElementTriMorley())

    @skfem.BilinearForm
    def energy(u, v, w):
        def moment(curvature):
            return (1.0 - NU) * curvature + NU * eye(trace(curvature), 2)

        return ddot(moment(dd(u)), dd(v))

    return basis, energy.assemble(basis)


def vertices(places: np.ndarray) -> list[int]:
    nodes = plate()[0].mesh.p.T
    found = [int(((nodes - place) ** 2).sum(axis=1).argmin()) for place in places]
    assert np.allclose(nodes[found], places)
    return found


def by_elements(points: np.ndarray, supports: np.ndarray) -> np.ndarray:
    basis, energy = plate()
    dofs = basis.nodal_dofs[0]
    held = dofs[vertices(supports)]
    columns = []
    for raised in held:
        x = basis.zeros()
        x[raised] = 1.0
        moved = skfem.solve(*skfem.condense(energy, x=x, D=held))
        columns.append(moved[dofs[vertices(points)]])
    return np.column_stack(columns)


def square(inset: float) -> np.ndarray:
    a, b = inset, SIZE - inset
    return np.array([[a, a], [b, a], [b, b], [a, b]])


def grid(inset: float) -> np.ndarray:
    places = (inset, SIZE / 2.0, SIZE - inset)
    return np.array([[x, y] for y in places for x in places])


SIX = np.vstack([square(30.0), [[30.0, 110.0], [190.0, 110.0]]])
EIGHT = np.delete(grid(20.0), 4, axis=0)
CASES = {
    "three": (np.array([[30.0, 30.0], [190.0, 30.0], [110.0, 190.0]]), grid(30.0)),
    "four at the corners": (square(0.0), grid(30.0)),
    "four 30 mm inside": (square(30.0), grid(30.0)),
    "four 50 mm inside, points outside": (square(50.0), grid(10.0)),
    "six": (SIX, grid(30.0)),
    "eight round the edge": (EIGHT, grid(30.0)),
}


@pytest.mark.parametrize("name", CASES)
def test_the_influence_is_that_of_the_elastic_plate_within_the_stated_error(name: str):
    supports, points = CASES[name]
    ours = plane_influence(points, supports) + bend_influence(points, supports, BOX)
    off = float(np.abs(ours - by_elements(points, supports)).max())
    print(f"{name}: departs by {off:.4f} mm per mm")
    assert off <= priors.INFLUENCE
