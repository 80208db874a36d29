"""A controller that follows a grid of numbers while it moves: the simulated software compensation. Pure.

Its own arithmetic, so that a mistake of the wizard's shows: triangles are not used, each cell of the grid
is a bilinear patch, and the whole fades linearly to nothing at the fade height.
"""

from __future__ import annotations

import numpy as np

from drivers.simulated.sheet import Array
from profiles.machine import Machine


class Grid:
    """Numbers over the rectangle that the machine's points span. `active`: the nozzle follows them."""

    def __init__(self, machine: Machine) -> None:
        part = machine.compensation
        if part is None:
            raise ValueError("this machine has no compensation")
        at = np.array([point.at_mm for point in machine.point], dtype=float)
        self._low, self._high = at.min(axis=0), at.max(axis=0)
        self._fade_mm = part.fade_height_mm
        self.values: Array = np.zeros((part.grid[1], part.grid[0]))
        self.active = False

    def set(self, column: int, row: int, offset_mm: float) -> bool:
        """Keep one number; False where the grid has no such place."""
        rows, columns = self.values.shape
        if not (0 <= column < columns and 0 <= row < rows):
            return False
        self.values[row, column] = offset_mm
        return True

    def place(self, column: int, row: int) -> tuple[float, float]:
        """Return where a number of the grid lies, mm."""
        rows, columns = self.values.shape
        share = np.array([column / (columns - 1), row / (rows - 1)])
        x, y = self._low + share * (self._high - self._low)
        return float(x), float(y)

    def raised_mm(self, x: float, y: float, z: float) -> float:
        """Return how far the nozzle stands above its commanded height, mm."""
        if not self.active:
            return 0.0
        rows, columns = self.values.shape
        shares = (np.array([x, y]) - self._low) / (self._high - self._low)
        across, along = np.clip(shares, 0.0, 1.0) * (columns - 1, rows - 1)
        by_row = [float(np.interp(across, np.arange(columns), line)) for line in self.values]
        whole = float(np.interp(along, np.arange(rows), by_row))
        return whole if self._fade_mm is None else whole * min(max(1.0 - z / self._fade_mm, 0.0), 1.0)
