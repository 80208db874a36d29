"""The virtual gauge and hand that a person plays with at a simulated printer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from drivers.simulated.operator import LeafFeel, Operator
from profiles.grid import GridValue
from profiles.machine import XY
from wizard.requests import Look, Tool, Touch


class OperatorBench:
    """A virtual operator's hand as a `wizard.widgets.virtual_bench.VirtualBench`."""

    def __init__(self, operator: Operator, card_mm: float | None, pads: Mapping[str, XY] = {}) -> None:
        self._operator = operator
        self._card_mm = card_mm
        self._pads = pads

    def try_leaf(self, mm: float) -> LeafFeel:
        """Push one leaf under the nozzle; return what the hand feels."""
        return self._operator.leaf(mm)

    def feel(self) -> Touch:
        """Push the single card under the nozzle. Raises ValueError where the profile has none."""
        if self._card_mm is None:
            raise ValueError("the profile names no card")
        return self._operator.feel(self._card_mm)

    def daylight(self, thick_mm: float) -> bool:
        """Push a thick card under the raised nozzle; whether it passes."""
        return self._operator.daylight(thick_mm)

    def pad_thickness(self, point: str, tool: Tool) -> float | None:
        """Measure a point's pad; None where there is none to measure."""
        at_mm = self._pads.get(point)
        return None if at_mm is None else self._operator.pad_thickness(at_mm, tool)

    def pad_look(self, point: str) -> Look | None:
        """Look at a point's pad; None where nothing was laid down."""
        at_mm = self._pads.get(point)
        return None if at_mm is None else self._operator.pad_look(at_mm)

    def turn(self, name: str, turns: float) -> float:
        """Turn an adjuster (clockwise positive); return what was really turned."""
        return self._operator.turn(name, turns)

    def raise_nozzle(self, change_mm: float) -> float:
        """Change the nozzle height in the machine's menu (+ raises); return what was really changed."""
        return self._operator.raise_nozzle(change_mm)

    def type_grid(self, values: Sequence[GridValue]) -> None:
        """Type the numbers of the compensation into the machine's menu."""
        self._operator.type_grid(values)
