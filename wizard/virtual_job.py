"""A whole job on a simulated printer by a virtual operator, through session, protocol and line."""

from __future__ import annotations

from collections.abc import Callable

import msgspec

from drivers.simulated import SimulatedPrinter
from drivers.simulated.operator import Operator
from wizard.assembly import Assembly
from wizard.autopilot import Autopilot, VirtualHand
from wizard.events import Answered, Event, Working
from wizard.plain import Transcript
from wizard.requests import Confirm, CoolDown, Outcome


class Done(msgspec.Struct, frozen=True):
    """What came of it. The true deviation is the simulated plate's own, taken before it cooled, mm."""

    outcome: Outcome
    answers: int
    turns: int
    true_worst_deviation_mm: float


async def do_alone(
    printer: SimulatedPrinter, seed: int, assembly: Assembly, say: Callable[[str], None]
) -> Done:
    """Do the job and tell each step with `say`. Raises what `Session.run` raises."""
    truth = _Truth(printer)
    transcript = Transcript(say, keys=None)

    def tell(event: Event) -> None:
        truth.listen(event)
        restart_if_told(printer, event)
        transcript(event)

    hand = VirtualHand(Operator(printer, seed), printer.machine.gauge)
    autopilot = Autopilot(hand, tell)
    outcome = await autopilot.drive(assembly.session(autopilot.listen))
    return Done(outcome, autopilot.answers, autopilot.turns, truth.worst_mm())


def restart_if_told(printer: SimulatedPrinter, event: Event) -> None:
    """Switch the simulated machine off and on once its operator says that this was done."""
    if isinstance(event, Answered) and event.request == Confirm("restart-machine"):
        with printer.lock:
            printer.firmware.restart()


class _Truth:
    """Looks at the plate as it was when measured: before the heaters go off. For the report only."""

    def __init__(self, printer: SimulatedPrinter) -> None:
        self._printer = printer
        self._worst_mm: float | None = None

    def listen(self, event: Event) -> None:
        """Look just before the machine is told to cool down."""
        if isinstance(event, Working) and isinstance(event.request, CoolDown):
            self._worst_mm = self._look()

    def worst_mm(self) -> float:
        """Return the plate's own worst deviation, mm."""
        return self._look() if self._worst_mm is None else self._worst_mm

    def _look(self) -> float:
        with self._printer.lock:
            return self._printer.plate.true_worst_deviation_mm
