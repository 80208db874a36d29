"""What the supports of a plate have done, seen from the points: the arrays that drift is told of by.

numpy is loaded at the first call.
"""

from __future__ import annotations

from profiles.machine import Machine
from wizard.drift import Supports

TOLD_APART = 0.05
"""Least singular value, against the largest, from which the points tell the supports apart."""


def supports_of(machine: Machine) -> Supports | None:
    """Return how supports and points hang together; None where the points cannot tell the supports apart.

    That a plate as a whole sinks and that the nozzle rises is one and the same to the points: it counts as
    the height, and the supports against it add up to none. Least squares over all points.
    """
    import numpy as np

    from wizard.solver.layout import support_influence

    points, names, influence = support_influence(machine)
    count = len(names)
    if count < 3 or len(points) < count:
        return None
    against = np.eye(count) - 1.0 / count
    basis = np.linalg.svd(against)[0][:, : count - 1]  # all moves of supports that add up to none
    opened = np.column_stack([np.ones(len(points)), influence @ basis])
    sizes = np.linalg.svd(opened, compute_uv=False)
    if sizes[-1] < TOLD_APART * sizes[0]:
        return None
    seen = np.linalg.pinv(opened)
    sunk = basis @ seen[1:]
    return Supports(
        height=_named(points, seen[0]),
        sunk={name: _named(points, sunk[row]) for row, name in enumerate(names)},
        opens={name: _named(points, influence[:, row]) for row, name in enumerate(names)},
    )


def _named(points: tuple[str, ...], values: object) -> dict[str, float]:
    return dict(zip(points, map(float, values), strict=True))  # type: ignore[call-overload]
