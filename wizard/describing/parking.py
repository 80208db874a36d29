"""Teaching a place by parking there: the nozzle goes sideways at clearance height, a key a step."""

from __future__ import annotations

from collections.abc import Callable

from drivers.errors import MoveRefused
from profiles.machine import XY
from wizard.describing.asking import Asker
from wizard.describing.bench import Bench

STEPS_MM = {"1": 0.1, "2": 1.0, "3": 10.0, "4": 50.0}
WAYS: dict[str, XY] = {"l": (-1, 0), "r": (1, 0), "f": (0, -1), "b": (0, 1)}
HELP = """\
  l r f b, or the arrow keys: left, right, front, back. 1 2 3 4: by 0.1, 1, 10, 50 mm. Enter: this is it.
  The nozzle stays at clearance height. Ctrl-C stops the machine."""


def teach(asker: Asker, bench: Bench, key: Callable[[str], str], name: str, start_mm: XY) -> list[float]:
    """Let the person drive the nozzle over a place; return it, rounded to 0.1 mm."""
    asker.tell(f"{name}: drive the nozzle over it.\n{HELP}")
    at_mm, step_mm = bench.over(_inside(bench, start_mm)), STEPS_MM["3"]
    while True:
        pressed = key(f"  X {at_mm[0]:.1f}  Y {at_mm[1]:.1f}  step {step_mm:g} mm")
        if not pressed:
            return [round(at_mm[0], 1), round(at_mm[1], 1)]
        step_mm = STEPS_MM.get(pressed, step_mm)
        if pressed in WAYS:
            at_mm = _go(asker, bench, at_mm, WAYS[pressed], step_mm)


def _go(asker: Asker, bench: Bench, at_mm: XY, way: XY, step_mm: float) -> XY:
    wanted = (round(at_mm[0] + way[0] * step_mm, 3), round(at_mm[1] + way[1] * step_mm, 3))
    try:
        return bench.over(wanted)
    except MoveRefused as refused:  # nothing was sent
        asker.tell(f"  {refused}")
        return at_mm


def _inside(bench: Bench, at_mm: XY) -> XY:
    """Return the place inside the limits that is nearest to a proposed one."""
    limits = bench.machine.motion
    (x, y), (x_low, x_high), (y_low, y_high) = at_mm, limits.x_mm, limits.y_mm
    return min(max(x, x_low), x_high), min(max(y, y_low), y_high)
