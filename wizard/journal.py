"""The journal of a run: one file of JSON lines, each on the disk before its answer is used.

Killed at any moment, a file holds all answers but the one being written; a torn last line is dropped.
Only one session writes a file: it is locked while open. Where the disk refuses, the run goes on with
its journal in memory, and `trouble` says so.
"""

from __future__ import annotations

import os
import re
import sys
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import BinaryIO

import msgspec

from wizard.record import (
    AnyLine,
    Back,
    Begun,
    Break,
    End,
    Header,
    Looked,
    Record,
    Step,
    add,
    add_all,
    open_fault,
)
from wizard.requests import AnyAnswer, AnyRequest, Outcome

_encoder = msgspec.json.Encoder()


@cache
def _decoder() -> msgspec.json.Decoder[AnyLine]:
    """Made at the first line that is read: a new job reads none, and its screen waits for nothing."""
    return msgspec.json.Decoder(AnyLine)


class JournalError(Exception):
    """A journal that cannot be used: the text names the file, the place and what to do."""


class Journal:
    """The record of one run, kept in a file where there is one."""

    def __init__(self, header: Header, file: BinaryIO | None = None, path: Path | None = None) -> None:
        self.header = header
        self.record = Record()
        self.path = path
        self.trouble = ""
        self._file = file

    def append(self, request: AnyRequest, answer: AnyAnswer, *, early: bool = False) -> None:
        """Write one answer. Returns once it is on the disk. early: read although the soak was cut short."""
        self._write(Step(request, answer, now_utc(), early))

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
            _put(self._file, line)
        except OSError as error:
            self.trouble = (
                f"the record of this run cannot be written any more ({error.strerror}: {self.path})"
            )
            self._drop()

    def _drop(self) -> None:
        """Let go of a file that takes no more; closing it may fail for the same reason."""
        try:
            self.close()
        except OSError:
            self._file = None


def runs_folder() -> Path:
    """Return where journals are kept: TRAMWRIGHT_HOME/runs, else the user's data folder."""
    home = os.environ.get("TRAMWRIGHT_HOME")
    if home:
        return Path(home) / "runs"
    from platformdirs import user_data_path

    return user_data_path("tramwright") / "runs"


def start(header: Header, folder: Path | None = None) -> Journal:
    """Begin a journal in a new file; where that cannot be, in memory, with the reason in `trouble`."""
    folder = runs_folder() if folder is None else folder
    created, key = header.created or now_utc(), header.key or os.urandom(8).hex()
    header = msgspec.structs.replace(header, created=created, key=key)
    try:
        path, file = _new_file(folder, header)
        _put(file, header)
        _sync_folder(folder)
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
        _lock(file, path)
        lines, length = _read(file, path)
        file.truncate(length)
        file.seek(length)
    except BaseException:
        file.close()
        raise
    journal = Journal(_header_of(lines, path), file, path)
    journal.record = add_all(lines[1:])
    return journal


def newest_unfinished(profile_name: str, procedure: str = "level", folder: Path | None = None) -> Path | None:
    """Return the newest run of this profile that has not come to its end, None where there is none."""
    folder = runs_folder() if folder is None else folder
    for path in sorted(folder.glob("*.jsonl"), reverse=True):
        if _is_unfinished(path, profile_name, procedure):
            return path
    return None


def last_fault(profile_name: str, folder: Path | None = None) -> tuple[Path, Break] | None:
    """Return the fault in which the last run of this profile ended and at which nobody has looked, if any."""
    folder = runs_folder() if folder is None else folder
    for path in sorted(folder.glob("*.jsonl"), reverse=True):
        try:
            lines = read_lines(path)
        except JournalError:
            continue
        if _header_of(lines, path).profile.name == profile_name:
            fault = open_fault(lines)
            return None if fault is None else (path, fault)
    return None


def read_lines(path: Path) -> list[AnyLine]:
    """Return all whole lines of a journal, whoever is writing it. Raises JournalError."""
    try:
        with path.open("rb") as file:
            lines, _ = _read(file, path)
    except OSError as error:
        raise JournalError(f"{path}: cannot be opened: {error.strerror}") from error
    _header_of(lines, path)
    return lines


def _is_unfinished(path: Path, profile_name: str, procedure: str) -> bool:
    try:
        lines = read_lines(path)
        header = _header_of(lines, path)
    except JournalError:
        return False
    wanted = (header.profile.name, header.procedure) == (profile_name, procedure)
    return wanted and add_all(lines[1:]).outcome is None


def now_utc() -> str:
    """Return the time now, UTC, ISO 8601 with microseconds."""
    return datetime.now(UTC).isoformat(timespec="microseconds")


def _put(file: BinaryIO, line: AnyLine) -> None:
    """Write one line and wait until the disk has it."""
    data = memoryview(_encoder.encode(line) + b"\n")
    while data:
        data = data[file.write(data) :]
    os.fsync(file.fileno())


def _read(file: BinaryIO, path: Path) -> tuple[list[AnyLine], int]:
    """Return all whole lines and how many bytes they take; a torn last line is left out."""
    data = file.read()
    length = data.rfind(b"\n") + 1
    lines: list[AnyLine] = []
    for number, text in enumerate(data[:length].splitlines(), 1):
        try:
            lines.append(_decoder().decode(text))
        except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError) as error:
            raise JournalError(f"{path}, line {number}: not a line of a journal: {error}") from error
    return lines, length


def _header_of(lines: list[AnyLine], path: Path) -> Header:
    if lines and isinstance(lines[0], Header):
        return lines[0]
    raise JournalError(f"{path}, line 1: a journal begins with its header; this file has none")


def _new_file(folder: Path, header: Header) -> tuple[Path, BinaryIO]:
    """Make a file that did not exist, named by the time, so that names sort by age, and lock it."""
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    stamp = re.sub(r"\D", "", header.created.partition("+")[0])
    for number in range(1000):
        path = folder / f"{stamp}-{number:03d}-{header.procedure}.jsonl"
        try:
            file = open(path, "xb", buffering=0, opener=_private)  # noqa: SIM115 -- closed by the journal
        except FileExistsError:
            continue
        _lock(file, path)
        return path, file
    raise FileExistsError(17, "too many runs of the same moment", str(folder))


def _private(name: str, flags: int) -> int:
    """Open a file that nobody else on this machine may read."""
    return os.open(name, flags, 0o600)


def _lock(file: BinaryIO, path: Path) -> None:
    """Lock the file against other sessions for as long as it is open. Raises JournalError."""
    try:
        if sys.platform == "win32":
            import msvcrt

            file.seek(2**30)  # a byte past any journal, so that reading stays possible
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
            file.seek(0)
        else:
            import fcntl

            fcntl.flock(file.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        raise JournalError(f"{path}: another session is writing this run; close it first") from error


def _sync_folder(folder: Path) -> None:
    """Have the folder keep the new name, where the system lets a folder be synced."""
    if sys.platform == "win32":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
