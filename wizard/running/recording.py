"""Has each answer written down before it is used, and tells once where no record can be written."""

from __future__ import annotations

from collections.abc import Callable

from drivers.interface import Printer
from wizard.facts import Facts
from wizard.journal.writing import Journal
from wizard.requests import AnyAnswer, AnyRequest, Felt, ReadingTaken, Seen, Touched
from wizard.running.events import Event, Notice

READ = (ReadingTaken, Felt, Seen, Touched)
"""Answers that are readings: with them stands how warm the machine told to be, and whether it had rested."""

IN_MEMORY = "The job goes on, and its record is kept in memory; at the end a place for it is asked for."


class Recorder:
    """The journal as a session writes it."""

    def __init__(self, journal: Journal, printer: Printer, tell: Callable[[Event], None]) -> None:
        self._journal = journal
        self._printer = printer
        self._tell = tell
        self._told = ""

    def keep(self, request: AnyRequest, answer: AnyAnswer, facts: Facts) -> None:
        """Write an answer; `facts`: those before it. Returns once it is on the disk, or cannot be."""
        if isinstance(answer, READ):
            warm = self._printer.status.temperatures
            self._journal.append(request, answer, early=facts.soak_cut, warm=(warm.bed_c, warm.nozzle_c))
        else:
            self._journal.append(request, answer)
        self.tell_trouble()

    def tell_trouble(self) -> None:
        """Tell once that the record cannot be written."""
        if self._journal.trouble != self._told:
            self._told = self._journal.trouble
            self._tell(Notice(f"{self._told}. {IN_MEMORY}", unrecorded=True))
