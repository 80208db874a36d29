"""The grid of a software compensation: its places, and the numbers that are kept there. Pure.

It spans the profile's points, columns along X and rows along Y, both counted from 0 at the front left.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import msgspec

from profiles.machine import XY, Compensation, Machine

SAME_PLACE_MM = 1.0


class GridValue(msgspec.Struct, frozen=True):
    """One number of the grid: how far the nozzle is to be raised (+) over that place, mm."""

    column: int
    row: int
    at_mm: XY
    offset_mm: float = 0.0


def nodes(machine: Machine) -> tuple[GridValue, ...]:
    """Return the places of the grid, row by row, with nothing to be raised yet; none without a grid."""
    part = machine.compensation
    if part is None or not machine.point:
        return ()
    (columns, rows), (xs, ys) = part.grid, zip(*(point.at_mm for point in machine.point), strict=True)
    return tuple(
        GridValue(column, row, (_along(xs, column, columns), _along(ys, row, rows)))
        for row in range(rows)
        for column in range(columns)
    )


def _along(values: Sequence[float], nth: int, count: int) -> float:
    return min(values) + (max(values) - min(values)) * nth / max(count - 1, 1)


def point_at(machine: Machine, at_mm: XY) -> str | None:
    """Return the name of the profile's point at a place of the grid, None where there is none."""
    for point in machine.point:
        if all(abs(a - b) <= SAME_PLACE_MM for a, b in zip(point.at_mm, at_mm, strict=True)):
            return point.name
    return None


def is_felt(machine: Machine) -> bool:
    """Tell whether every place of the grid is one of the profile's points, so that a gauge can fill it."""
    grid = nodes(machine)
    return bool(grid) and all(point_at(machine, node.at_mm) for node in grid)


def filled(machine: Machine, gaps_mm: Mapping[str, float], wanted_mm: float) -> tuple[GridValue, ...]:
    """Return the grid that makes every gap the wanted one; gaps by point name. Raises KeyError."""
    return tuple(
        GridValue(
            node.column,
            node.row,
            node.at_mm,
            round(wanted_mm - gaps_mm[point_at(machine, node.at_mm) or ""], 3),
        )
        for node in nodes(machine)
    )


def raised_mm(values: Sequence[GridValue], part: Compensation, at_mm: XY) -> float:
    """Return how far the grid raises the nozzle at a place: bilinear between its four neighbours.

    Beside the grid its edge holds. Bilinear interpolation is common practice of such machines, no source.
    """
    columns, rows = part.grid
    kept = {(value.column, value.row): value.offset_mm for value in values}
    xs = [values[nth].at_mm[0] for nth in range(columns)]
    ys = [values[nth * columns].at_mm[1] for nth in range(rows)]
    (i, u), (j, v) = _between(xs, at_mm[0]), _between(ys, at_mm[1])
    front = (1.0 - u) * kept[i, j] + u * kept[i + 1, j]
    back = (1.0 - u) * kept[i, j + 1] + u * kept[i + 1, j + 1]
    return (1.0 - v) * front + v * back


def _between(places: Sequence[float], at: float) -> tuple[int, float]:
    """Return the cell's number and the share of its width where `at` lies."""
    nth = max((n for n in range(len(places) - 1) if places[n] <= at), default=0)
    width = places[nth + 1] - places[nth]
    return nth, min(max((at - places[nth]) / width, 0.0), 1.0)
