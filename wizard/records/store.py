"""The records in one SQLite file, written ahead: a run whole or its next line, one transaction each.

What is put in is on the disk in a journal already. So a transaction that a power cut takes back costs
nothing: the file stays whole, and what is missing is put in again.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import msgspec

from wizard.journal.lines import AnyLine, Step
from wizard.records import details, schema
from wizard.records.opening import WAIT_S, RecordsError, decoded, opened, sentence
from wizard.records.run import Run, Whole, whole_of


class Store:
    """An open file of records; `path` None keeps them in memory."""

    def __init__(self, path: Path | None = None, wait_s: float = WAIT_S) -> None:
        """Open the file, made where it is not there. Raises RecordsError.

        wait_s: how long to wait for another program that is writing.
        """
        self.path = path
        try:
            self._connection = opened(path, wait_s)
        except (sqlite3.Error, OSError, schema.TooNew) as error:
            raise RecordsError(sentence(path, error)) from error

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

        Where another journal of the same run tells more, that stays: this one is what a disk that was full
        has left of it.

        run: its id, where it comes from other records; `journal` then only has to be a name of its own.
        """
        whole = known_as(run, whole_of(journal, lines))
        with self._transaction():
            if (other := self._from_another(whole.run.id, journal)) and _tells(other) > _tells(whole):
                return other.run
            self._put(whole, journal, size, lines)
        return whole.run

    def add(self, journal: str, size: int, lines: Sequence[AnyLine]) -> None:
        """Put in the last line of a run of which all others are there; else the run whole.

        Raises RecordsError.
        """
        whole, last = whole_of(journal, lines), len(lines) - 1
        with self._transaction():
            (known,) = self._connection.execute(
                "SELECT max(n) FROM line WHERE run = ?", (whole.run.id,)
            ).fetchone()
            if known == last - 1 and isinstance(lines[last], Step):
                self._add(whole, size, last, lines[last])
            else:
                self._put(whole, journal, size, lines)

    def _from_another(self, run: str, journal: str) -> Whole | None:
        """Return the run as it was filed from another journal; None where it was not."""
        found = self._all("SELECT journal FROM run WHERE id = ? AND journal <> ?", run, journal)
        return known_as(run, whole_of(found[0][0], self.lines(run))) if found else None

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        """All that is done in it, or nothing. Raises RecordsError."""
        try:
            self._connection.execute("BEGIN IMMEDIATE")
            with self._connection:
                yield
        except sqlite3.Error as error:
            raise RecordsError(sentence(self.path, error)) from error

    def _add(self, whole: Whole, size: int, n: int, line: AnyLine) -> None:
        run, nth = whole.run, len(whole.steps)
        execute = self._connection.execute
        execute(
            "UPDATE run SET ended = ?, status = ?, told = ?, bytes = ? WHERE id = ?",
            (run.ended, run.status, msgspec.json.encode(run).decode(), size, run.id),
        )
        execute("INSERT INTO line VALUES (?, ?, ?)", (run.id, n, msgspec.json.encode(line).decode()))
        execute("DELETE FROM gap WHERE run = ?", (run.id,))
        readings = [row for row in details.readings(whole) if row.n == nth]
        self._put_details(run.id, readings, [row for row in details.changes(whole) if row.n == nth])
        self._put_gaps(whole)

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
        self._put_details(run.id, details.readings(whole), details.changes(whole))
        self._put_gaps(whole)

    def _put_details(
        self, run: str, readings: Iterable[details.ReadingRow], changes: Iterable[details.ChangeRow]
    ) -> None:
        many = self._connection.executemany
        many(
            "INSERT INTO reading VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            [(run, *row) for row in readings],
        )
        many("INSERT INTO change VALUES (?, ?, ?, ?, ?, ?)", [(run, *row) for row in changes])

    def _put_gaps(self, whole: Whole) -> None:
        rows = [(whole.run.id, *row) for row in details.gaps(whole)]
        self._connection.executemany("INSERT INTO gap VALUES (?, ?, ?, ?, ?)", rows)

    def sizes(self) -> dict[str, int]:
        """Return how many bytes of each journal are filed. Raises RecordsError."""
        return dict(self._all("SELECT journal, bytes FROM run"))

    def runs(self, machine: str | None = None) -> list[Run]:
        """Return all runs, the newest first, or those of one machine. Raises RecordsError."""
        rows = self._all(
            "SELECT told FROM run WHERE ?1 IS NULL OR machine = ?1 ORDER BY created DESC, id", machine
        )
        return [decoded(told, Run, self.path or "records") for (told,) in rows]

    def whole(self, word: str, machine: str | None = None) -> Whole:
        """Return the run that `word` means: "last", or the first letters of its id. Raises RecordsError."""
        run = self.find(word, machine)
        return known_as(run.id, whole_of("", self.lines(run.id)))

    def lines(self, run: str) -> list[AnyLine]:
        """Return the journal's lines of the run with that id. Raises RecordsError."""
        rows = self._all("SELECT json FROM line WHERE run = ? ORDER BY n", run)
        return [decoded(text, AnyLine, f"run {run}") for (text,) in rows]

    def journal_of(self, run: str) -> str:
        """Return the name of the journal that the run with that id was filed from. Raises RecordsError."""
        ((name,),) = self._all("SELECT journal FROM run WHERE id = ?", run)
        return str(name)

    def find(self, word: str, machine: str | None = None) -> Run:
        """Return the one run that `word` means. Raises RecordsError where none or several do."""
        return meant(word, self.runs(machine))

    def _all(self, text: str, *values: object) -> list[tuple[Any, ...]]:
        try:
            return self._connection.execute(text, values).fetchall()
        except sqlite3.Error as error:
            raise RecordsError(sentence(self.path, error)) from error


def _tells(whole: Whole) -> tuple[bool, int]:
    """Return by which of two journals of a run the one that tells more is found."""
    return whole.run.status != "not ended", len(whole.steps)


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


__all__ = ["RecordsError", "Store", "known_as", "meant"]
