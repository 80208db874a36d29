"""A whole job on a simulated printer by a virtual operator, through session, protocol and line."""

from __future__ import annotations

from collections.abc import Callable

import msgspec

from drivers.simulated import SimulatedPrinter
from drivers.simulated.operator import Operator
from wizard.plain import Transcript
from wizard.requests import Checks, Confirm, CoolDown, Outcome, PrintLayer, ShowResult
from wizard.running.assembly import Assembly
from wizard.running.events import Answered, Asked, Event, Working
from wizard.virtual.autopilot import Autopilot, VirtualHand


class Done(msgspec.Struct, frozen=True):
    """What came of it. The true deviations are the simulated plate's own, taken before it cooled, mm.

    in_print_mm: the worst at the temperatures of the last check print, None without one.
    """

    outcome: Outcome
    answers: int
    turns: int
    true_worst_deviation_mm: float
    checks: Checks = Checks()
    in_print_mm: float | None = None


async def do_alone(
    printer: SimulatedPrinter,
    seed: int,
    assembly: Assembly,
    say: Callable[[str], None],
    *,
    prints: bool = False,
) -> Done:
    """Do the job and tell each step with `say`; `prints`: check it by prints, too.

    Raises what `Session.run` raises.
    """
    truth = _Truth(printer)
    transcript = Transcript(say, keys=None)

    def tell(event: Event) -> None:
        truth.listen(event)
        beside_the_machine(printer, event)
        transcript(event)

    hand = VirtualHand(Operator(printer, seed), printer.machine, prints=prints)
    autopilot = Autopilot(hand, tell)
    outcome = await autopilot.drive(assembly.session(autopilot.listen))
    return Done(
        outcome, autopilot.answers, autopilot.turns, truth.worst_mm(), truth.checks, truth.in_print_mm
    )


def beside_the_machine(printer: SimulatedPrinter, event: Event) -> None:
    """Do at the simulated machine what its operator says was done: switched off and on, plate cleared."""
    if not isinstance(event, Answered) or not isinstance(event.request, Confirm):
        return
    with printer.lock:
        if event.request.topic == "restart-machine":
            printer.firmware.restart()
        elif event.request.topic in ("print-ready", "print-anew"):
            printer.plate.plastic.wipe()


class _Truth:
    """Looks at the plate as it was when measured: before the heaters go off. For the report only."""

    def __init__(self, printer: SimulatedPrinter) -> None:
        self._printer = printer
        self._worst_mm: float | None = None
        self._print_c: tuple[float, float] | None = None
        self.in_print_mm: float | None = None
        self.checks = Checks()

    def listen(self, event: Event) -> None:
        """Look just before the machine is told to cool down, and at what is shown at the end."""
        if isinstance(event, Working) and isinstance(event.request, PrintLayer):
            self._print_c = event.request.bed_c, event.request.nozzle_c
        elif isinstance(event, Working) and isinstance(event.request, CoolDown):
            self._worst_mm = self._look()
        elif isinstance(event, Asked) and isinstance(event.request, ShowResult):
            self._at_the_end(event.request)

    def _at_the_end(self, shown: ShowResult) -> None:
        self.checks = shown.checks
        if self._print_c is not None:
            with self._printer.lock:
                self.in_print_mm = self._printer.plate.worst_at_mm(*self._print_c)
                self._worst_mm = self._printer.plate.true_worst_deviation_mm

    def worst_mm(self) -> float:
        """Return the plate's own worst deviation, mm."""
        return self._look() if self._worst_mm is None else self._worst_mm

    def _look(self) -> float:
        with self._printer.lock:
            return self._printer.plate.true_worst_deviation_mm
