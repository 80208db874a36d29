"""A whole simulated printer: plate, controller and, for benchmarks, a bare nozzle without a controller."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from drivers.simulated.abilities import abilities_of
from drivers.simulated.firmware import Firmware
from drivers.simulated.found import Start
from drivers.simulated.interpreter import Interpreter
from drivers.simulated.moves import TOUCH_MM, XYZ
from drivers.simulated.plate import Plate
from drivers.simulated.record import Record, Violation
from drivers.simulated.waking_lock import WakingLock
from profiles.machine import Machine, Point

STILL_SPEAKS_EVERY_S = 0.5


class SimulatedPrinter:
    """A machine that does not exist. Whoever serves it sets `clock`; `lock` guards all of it.

    speed: how many of the machine's seconds pass in one real second. At a high speed the machine
    speaks less often by its own clock, so that the line is not flooded.
    """

    def __init__(self, machine: Machine, seed: int = 1, speed: float = 1.0, start: Start = "snugged") -> None:
        self.machine = machine
        self.seed = seed
        self.speed = speed
        self.record = Record()
        self.plate = Plate(machine, seed, start)
        self.lock = WakingLock()
        self.clock: Callable[[], float] | None = None
        self._now = 0.0
        interpreter = Interpreter(machine, self.plate, self.record, _somewhere(machine, seed))
        interpreter.abilities += abilities_of(interpreter, seed)
        self.firmware = Firmware(
            interpreter,
            busy_every_s=max(2.0, speed * STILL_SPEAKS_EVERY_S),
            report_every_s=max(1.0, speed * STILL_SPEAKS_EVERY_S),
        )

    def now(self) -> float:
        """Return the machine's own time, s."""
        if self.clock is not None:
            self._now = max(self._now, self.clock())
        return self._now

    def let_pass(self, seconds: float) -> None:
        """Without a clock: let the machine's time pass."""
        self._now += seconds

    def nozzle_mm(self) -> XYZ:
        """Return where the nozzle truly is now, in machine coordinates."""
        with self.lock:
            self.firmware.advance(self.now())
            return self.firmware.interpreter.motion.true_at(self.now())

    def gap_mm(self) -> float:
        """Return the true gap under the nozzle now; inf beside the plate."""
        with self.lock:
            return self.plate.gap_at(*self.nozzle_mm())

    def turned(self) -> None:
        """Record a crash if a turn has pressed the plate against the nozzle."""
        with self.lock:
            depth_mm, at = -self.gap_mm(), self.nozzle_mm()
        if depth_mm > TOUCH_MM:
            self.record.note(Violation("crash", "plate turned into the nozzle", at, depth_mm))


class BareNozzle:
    """A nozzle that is simply put somewhere over a plate: no controller, no time. For benchmarks."""

    def __init__(self, plate: Plate) -> None:
        self.plate = plate
        self.at_mm: XYZ = (0.0, 0.0, 100.0)

    def home(self) -> None:
        """Home: the next homing shift is drawn."""
        self.plate.home()

    def park(self, point: Point, z_mm: float) -> None:
        """Put the nozzle over a point at commanded `z_mm`."""
        self.at_mm = (*point.at_mm, z_mm)

    def warm(self) -> None:
        """Bring plate and nozzle to the profile's measuring temperatures at once."""
        heat = self.plate.machine.heat
        self.plate.bed_c = heat.bed_c or self.plate.bed_c
        self.plate.nozzle_c = heat.nozzle_c or self.plate.nozzle_c

    def gap_mm(self) -> float:
        """Return the true gap under the nozzle."""
        return self.plate.gap_at(*self.at_mm)

    def turned(self) -> None:
        """Nothing to be noted: a bare nozzle is thought lifted away during turns."""


def _somewhere(machine: Machine, seed: int) -> XYZ:
    """Return where the head was left, which nobody knows."""
    rng, axes = np.random.default_rng([seed, 6]), machine.motion
    x, y = float(rng.uniform(*axes.x_mm)), float(rng.uniform(*axes.y_mm))
    return x, y, float(rng.uniform(10.0, 40.0))
