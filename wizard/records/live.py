"""Files a run while it goes on: each line of its journal is one transaction in the records.

The line is on the disk in the journal before; so where the records do not take it, or another program is
writing them, nothing waits and nothing is lost: a later line, or the filing after the run, puts in what
is missing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from wizard.journal.files import JournalError, read_lines
from wizard.journal.lines import AnyLine
from wizard.journal.writing import Journal

if TYPE_CHECKING:
    from wizard.records.store import Store


class Live:
    """Takes each line that the journal has written; `close` lets go of the records."""

    def __init__(self, journal: Journal) -> None:
        self._journal = journal
        self._lines: list[AnyLine] = []
        self._store: Store | None = None
        self._gave_up = False

    def take(self, line: AnyLine) -> None:
        """File one more line. Never raises for the records' sake.

        What it needs is loaded at the first line: the first screen is painted by then.
        """
        from wizard.records.opening import RecordsError

        path = self._journal.path
        if path is None or self._gave_up:
            return
        try:
            # The first line that is heard of is not the first one written.
            self._lines = [*self._lines, line] if self._lines else read_lines(path)
            store = self._opened()
            store.add(path.name, path.stat().st_size, self._lines)
        except (RecordsError, JournalError, OSError):
            self._gave_up = self._store is None

    def _opened(self) -> Store:
        if self._store is None:
            from wizard.records.filing import records_path
            from wizard.records.store import Store

            self._store = Store(records_path(), wait_s=0.0)
        return self._store

    def close(self) -> None:
        """Let go of the records."""
        if self._store is not None:
            self._store.close()
            self._store = None
