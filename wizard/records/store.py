"""The records in one SQLite file: runs put in whole, one transaction each, and found again."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterable, Sequence
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import msgspec

from wizard.journal.lines import AnyLine
from wizard.records import details, schema
from wizard.records.run import Run, Whole, whole_of

WAIT_S = 20.0
"""How long to wait for another program that is writing."""

ANEW = "nothing is lost: move it away, and it is built anew from the journals in runs"


class RecordsError(Exception):
    """The records cannot be used: the text names the file, what is wrong, and what to do."""


class Store:
    """An open file of records; `path` None keeps them in memory."""

    def __init__(self, path: Path | None = None) -> None:
        """Open the file, made where it is not there. Raises RecordsError."""
        self.path = path
        try:
            self._connection = _opened(path)
        except (sqlite3.Error, OSError, schema.TooNew) as error:
            raise RecordsError(_sentence(path, error)) from error

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file."""
        self._connection.close()

    def put(self, journal: str, size: int, lines: Sequence[AnyLine], run: str = "") -> Run:
        """Put a run in, or in place of what was known of it. Returns it. Raises RecordsError.

        run: its id, where it comes from other records; `journal` then only has to be a name of its own.
        """
        whole = known_as(run, whole_of(journal, lines))
        try:
            self._connection.execute("BEGIN IMMEDIATE")
            with self._connection:
                self._put(whole, journal, size, lines)
        except sqlite3.Error as error:
            raise RecordsError(_sentence(self.path, error)) from error
        return whole.run

    def _put(self, whole: Whole, journal: str, size: int, lines: Iterable[AnyLine]) -> None:
        run = whole.run
        execute = self._connection.execute
        execute("DELETE FROM run WHERE id = ? OR journal = ?", (run.id, journal))
        told = msgspec.json.encode(run).decode()
        execute(
            "INSERT INTO run VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (run.id, run.procedure, run.machine, run.created, run.ended, run.status, told, journal, size),
        )
        many = self._connection.executemany
        texts = enumerate(msgspec.json.encode(line).decode() for line in lines)
        many("INSERT INTO line VALUES (?, ?, ?)", [(run.id, n, text) for n, text in texts])
        readings = details.readings(whole)
        many("INSERT INTO reading VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", [(run.id, *r) for r in readings])
        many("INSERT INTO change VALUES (?, ?, ?, ?, ?, ?)", [(run.id, *c) for c in details.changes(whole)])
        many("INSERT INTO gap VALUES (?, ?, ?, ?, ?)", [(run.id, *g) for g in details.gaps(whole)])

    def sizes(self) -> dict[str, int]:
        """Return how many bytes of each journal are filed. Raises RecordsError."""
        return dict(self._all("SELECT journal, bytes FROM run"))

    def runs(self, machine: str | None = None) -> list[Run]:
        """Return all runs, the newest first, or those of one machine. Raises RecordsError."""
        rows = self._all(
            "SELECT told FROM run WHERE ?1 IS NULL OR machine = ?1 ORDER BY created DESC, id", machine
        )
        return [msgspec.json.decode(told, type=Run) for (told,) in rows]

    def whole(self, word: str, machine: str | None = None) -> Whole:
        """Return the run that `word` means: "last", or the first letters of its id. Raises RecordsError."""
        run = self.find(word, machine)
        return known_as(run.id, whole_of("", self.lines(run.id)))

    def lines(self, run: str) -> list[AnyLine]:
        """Return the journal's lines of the run with that id. Raises RecordsError."""
        rows = self._all("SELECT json FROM line WHERE run = ? ORDER BY n", run)
        return [msgspec.json.decode(text, type=AnyLine) for (text,) in rows]

    def find(self, word: str, machine: str | None = None) -> Run:
        """Return the one run that `word` means. Raises RecordsError where none or several do."""
        return meant(word, self.runs(machine))

    def _all(self, text: str, *values: object) -> list[tuple[Any, ...]]:
        try:
            return self._connection.execute(text, values).fetchall()
        except sqlite3.Error as error:
            raise RecordsError(_sentence(self.path, error)) from error


def known_as(run: str, whole: Whole) -> Whole:
    """Return the run under the id it has in the records; "" keeps its own."""
    named = msgspec.structs.replace(whole.run, id=run or whole.run.id)
    return msgspec.structs.replace(whole, run=named)


def meant(word: str, runs: Sequence[Run]) -> Run:
    """Return the one run that `word` means of those, the newest first. Raises RecordsError."""
    found = runs[:1] if word == "last" else [run for run in runs if word and run.id.startswith(word)]
    if len(found) == 1:
        return found[0]
    if found:
        raise RecordsError(f"several runs begin with {word!r}: {', '.join(run.id for run in found[:9])}")
    raise RecordsError(f"no run {word!r} in the records; `tramwright history` lists them")


def _opened(path: Path | None) -> sqlite3.Connection:
    """Open and migrate; nobody but the user may read the file."""
    if path is not None:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))
    connection = sqlite3.connect(path or ":memory:", timeout=WAIT_S, isolation_level=None)
    try:
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA synchronous = FULL")
        schema.migrate(connection)
    except BaseException:
        connection.close()
        raise
    return connection


def _sentence(path: Path | None, error: Exception) -> str:
    """Say what is wrong with the file, and what to do."""
    name = path or "the records in memory"
    if isinstance(error, schema.TooNew):
        return f"{name}: written by a later version of the program ({error}); use that version, or {ANEW}"
    if isinstance(error, OSError):
        return f"{name}: the records cannot be written ({error.strerror})"
    code = getattr(error, "sqlite_errorname", "")
    if code.startswith(("SQLITE_NOTADB", "SQLITE_CORRUPT")):
        return f"{name}: not a whole file of records any more; {ANEW}"
    if code.startswith("SQLITE_FULL"):
        return f"{name}: the disk is full; make room, the journals in runs are filed at the next call"
    if code.startswith(("SQLITE_READONLY", "SQLITE_CANTOPEN")):
        return f"{name}: the records cannot be written (the file or its folder is read-only)"
    if code.startswith("SQLITE_BUSY"):
        return f"{name}: another program has been writing the records for {WAIT_S:.0f} s; try again"
    return f"{name}: the records cannot be used ({error})"
