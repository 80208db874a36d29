"""Puts a job together: procedure, printer, journal, session. Decides nothing."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from typing import TYPE_CHECKING

import msgspec

if TYPE_CHECKING:
    from drivers.byhand import What
    from drivers.interface import Printer
    from wizard.facts import Facts
    from wizard.journal.lines import Header
    from wizard.journal.writing import Journal
    from wizard.running.course import MakeProcedure
    from wizard.running.events import Event
    from wizard.running.session import Session

Listener = Callable[["Event"], None]
LEAST_POLL_S = 0.05
PROCEDURES = {
    "level": ("wizard.procedures.level", "level"),
    "recheck": ("wizard.procedures.recheck", "recheck"),
    "survey": ("wizard.procedures.survey", "survey"),
    "unattended": ("wizard.procedures.unattended", "unattended"),
}


class Assembly(msgspec.Struct, frozen=True, kw_only=True):
    """What a job is made of.

    source: the line's device or URL; not used where `facts.by_hand`.
    speed: how many seconds of soak pass in one second; 1 but for a simulated printer.
    keep_hot: heaters stay on where the person is cut off or the program is told to end.
    also: is told every event, before whoever listens to the session.
    """

    facts: Facts
    journal: Journal
    source: str = ""
    speed: float = 1.0
    keep_hot: bool = False
    also: Listener | None = None

    def session(self, listener: Listener) -> Session:
        """Make the session, on the event loop's own thread.

        What drives, records and solves is loaded here and not earlier: a screen is painted by then.
        """
        from wizard.running.session import Session

        listener = listener if self.also is None else _both(self.also, listener)
        asker = _ThroughSession()
        printer = self._hand_printer(asker) if self.facts.by_hand else self._line_printer()
        asker.session = Session(
            procedure_of(self.journal.header),
            self.facts,
            printer,
            self.journal,
            listener,
            self.speed,
            keep_hot=self.keep_hot,
        )
        return asker.session

    def _hand_printer(self, asker: _ThroughSession) -> Printer:
        from drivers.byhand import HandPrinter

        return HandPrinter(self.facts.machine, asker)

    def _line_printer(self) -> Printer:
        from drivers.conversation import Waits
        from drivers.printer import LinePrinter

        usual = Waits()
        waits = msgspec.structs.replace(usual, poll_s=max(LEAST_POLL_S, usual.poll_s / self.speed))
        return LinePrinter(self.facts.machine, self.source, waits=waits)


def procedure_of(header: Header) -> MakeProcedure:
    """Return the procedure that a journal's header names. Raises KeyError for one that is not known."""
    module, name = PROCEDURES[header.procedure]
    made: MakeProcedure = getattr(import_module(module), name)
    return made


def _both(first: Listener, second: Listener) -> Listener:
    def tell(event: Event) -> None:
        first(event)
        second(event)

    return tell


class _ThroughSession:
    """Lets a drive by hand ask through the session, which is made after it."""

    session: Session

    async def __call__(
        self,
        what: What,
        point: str | None = None,
        z_mm: float | None = None,
        bed_c: float | None = None,
        nozzle_c: float | None = None,
    ) -> None:
        await self.session.ask_by_hand(what, point, z_mm, bed_c, nozzle_c)
