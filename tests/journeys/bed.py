"""A simulated printer in the test's own process, which outlives the programs that drive it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, NamedTuple

from drivers.simulated import SimulatedPrinter
from drivers.simulated.operator import Operator
from drivers.simulated.serve import Server


class Bed(NamedTuple):
    """A simulated printer that outlives the programs that drive it.

    blocks: first words of what it carried out, in order. watch: told each of them as it begins.
    """

    printer: SimulatedPrinter
    server: Server
    hands: Operator
    blocks: list[str]
    watch: list[Callable[[str], None]]

    @property
    def worst_mm(self) -> float:
        """The simulated plate's own worst deviation."""
        with self.printer.lock:
            return self.printer.plate.true_worst_deviation_mm

    @property
    def tolerance_mm(self) -> float:
        return self.printer.machine.first_layer.tolerance_mm

    def is_cold_and_lifted(self) -> tuple[bool, bool]:
        """Return whether both heaters are off, and whether the nozzle truly stands at clearance or above."""
        with self.printer.lock:
            z_mm = self.printer.nozzle_mm()[2]
            machine = self.printer.firmware.interpreter
            cold = machine.bed.target_c == machine.nozzle.target_c == 0.0
        return cold, z_mm >= self.printer.machine.motion.clearance_mm - 1e-6

    @contextmanager
    def at_block(self, code: str, nth: int, act: Callable[[], None]) -> Iterator[None]:
        """Act at the moment in which the machine begins the `nth` block of that `code` from now on."""
        left = [nth]

        def look(block: str) -> None:
            left[0] -= block == code
            if block == code and left[0] == 0:
                act()

        self.watch.append(look)
        yield
        self.watch.remove(look)


def noted(printer: SimulatedPrinter) -> tuple[list[str], list[Callable[[str], None]]]:
    """Note the first word of each block that the machine carries out."""
    interpreter = printer.firmware.interpreter
    carry_out, blocks, watch = interpreter.run, [], []

    def run_and_note(block: Any, now: float) -> Any:
        blocks.append(block.code)
        for each in tuple(watch):
            each(block.code)
        return carry_out(block, now)

    interpreter.run = run_and_note  # type: ignore[method-assign]
    return blocks, watch
