"""A run's journal while it is written: each line is on the disk before its answer is used.

Killed at any moment, a file holds all answers but the one being written. Where the disk refuses, the run
goes on with its journal in memory, and `trouble` says so.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO

import msgspec

from wizard.journal.files import JournalError, header_of, lock, new_file, put, read, sync_folder
from wizard.journal.lines import (
    AnyLine,
    Back,
    Begun,
    Break,
    End,
    Header,
    Looked,
    Record,
    Remark,
    Step,
    add,
    add_all,
)
from wizard.journal.moment import now_utc
from wizard.journal.runs import runs_folder
from wizard.requests import AnyAnswer, AnyRequest, Outcome

Warmth = tuple[float | None, float | None]
NOT_TOLD: Warmth = (None, None)


class Journal:
    """The record of one run, kept in a file where there is one.

    also: is told each line once it is on the disk.
    """

    def __init__(self, header: Header, file: BinaryIO | None = None, path: Path | None = None) -> None:
        self.header = header
        self.record = Record()
        self.path = path
        self.trouble = ""
        self.also: Callable[[AnyLine], None] = _nobody
        self._file = file

    def append(
        self, request: AnyRequest, answer: AnyAnswer, *, early: bool = False, warm: Warmth = NOT_TOLD
    ) -> None:
        """Write one answer. Returns once it is on the disk.

        early: read although the soak was cut short. warm: plate and nozzle at a reading, degrees Celsius.
        """
        self._write(Step(request, answer, now_utc(), early, *warm))

    def begin(self, request: AnyRequest) -> None:
        """Write that something is about to be sent that must not be sent twice."""
        self._write(Begun(request))

    def not_begun(self) -> None:
        """Write that what was begun was never sent."""
        self._write(Begun())

    def take_back(self) -> None:
        """Write that the person's last answer does not hold. Raises ValueError where there is none."""
        if self.record.back_to is None:
            raise ValueError("there is no answer that could be taken back")
        self._write(Back())

    def broke(self, reason: str, *, fault: bool = False) -> None:
        """Write why the run was cut off; `fault`: not by a person."""
        self._write(Break(reason, now_utc(), fault))

    def looked(self) -> None:
        """Write that a person has looked at the machine after its fault."""
        self._write(Looked(now_utc()))

    def remark(self, text: str) -> None:
        """Write what a person says of the run."""
        self._write(Remark(text, now_utc()))

    def finish(self, outcome: Outcome) -> None:
        """Write the end of the run."""
        self._write(End(outcome, now_utc()))

    def close(self) -> None:
        """Let go of the file and its lock."""
        if self._file is not None:
            self._file.close()
            self._file = None

    def _write(self, line: AnyLine) -> None:
        self.record = add(self.record, line)
        if self._file is None:
            return
        try:
            put(self._file, line)
        except OSError as error:
            self.trouble = (
                f"the record of this run cannot be written any more ({error.strerror}: {self.path})"
            )
            self._drop()
        else:
            self.also(line)

    def _drop(self) -> None:
        """Let go of a file that takes no more; closing it may fail for the same reason."""
        try:
            self.close()
        except OSError:
            self._file = None


def _nobody(_: AnyLine) -> None:
    """Nobody else wants to hear of a line."""


def start(header: Header, folder: Path | None = None) -> Journal:
    """Begin a journal in a new file; where that cannot be, in memory, with the reason in `trouble`."""
    folder = runs_folder() if folder is None else folder
    created, key = header.created or now_utc(), header.key or os.urandom(8).hex()
    header = msgspec.structs.replace(header, created=created, key=key)
    try:
        path, file = new_file(folder, header)
        put(file, header)
        sync_folder(folder)
    except OSError as error:
        journal = Journal(header)
        journal.trouble = f"no record of this run can be written ({error.strerror}: {folder})"
        return journal
    return Journal(header, file, path)


def reopen(path: Path) -> Journal:
    """Open a journal to go on with it. Raises JournalError where it cannot be read, or is in use."""
    try:
        file = path.open("r+b", buffering=0)
    except OSError as error:
        raise JournalError(f"{path}: cannot be opened: {error.strerror}") from error
    try:
        lock(file, path)
        lines, length = read(file, path)
        file.truncate(length)
        file.seek(length)
    except BaseException:
        file.close()
        raise
    journal = Journal(header_of(lines, path), file, path)
    journal.record = add_all(lines[1:])
    return journal
