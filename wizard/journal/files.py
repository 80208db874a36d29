"""A journal's file: its lines on the disk and from it, its lock, its name.

A torn last line, as a kill leaves it, is dropped. Only one session writes a file: it is locked while open.
"""

from __future__ import annotations

import os
import re
import sys
from functools import cache
from pathlib import Path
from typing import BinaryIO

import msgspec

from wizard.journal.lines import AnyLine, Header

_encoder = msgspec.json.Encoder()


@cache
def _decoder() -> msgspec.json.Decoder[AnyLine]:
    """Made at the first line that is read: a new job reads none, and its screen waits for nothing."""
    return msgspec.json.Decoder(AnyLine)


class JournalError(Exception):
    """A journal that cannot be used: the text names the file, the place and what to do."""


def read_lines(path: Path) -> list[AnyLine]:
    """Return all whole lines of a journal, whoever is writing it. Raises JournalError."""
    try:
        with path.open("rb") as file:
            lines, _ = read(file, path)
    except OSError as error:
        raise JournalError(f"{path}: cannot be opened: {error.strerror}") from error
    header_of(lines, path)
    return lines


def put(file: BinaryIO, line: AnyLine) -> None:
    """Write one line and wait until the disk has it."""
    data = memoryview(_encoder.encode(line) + b"\n")
    while data:
        data = data[file.write(data) :]
    os.fsync(file.fileno())


def read(file: BinaryIO, path: Path) -> tuple[list[AnyLine], int]:
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


def header_of(lines: list[AnyLine], path: Path) -> Header:
    """Return the header of a journal's lines. Raises JournalError where they begin with none."""
    if lines and isinstance(lines[0], Header):
        return lines[0]
    raise JournalError(f"{path}, line 1: a journal begins with its header; this file has none")


def new_file(folder: Path, header: Header) -> tuple[Path, BinaryIO]:
    """Make a file that did not exist, named by the time, so that names sort by age, and lock it."""
    private_folder(folder)
    stamp = re.sub(r"\D", "", header.created.partition("+")[0])
    for number in range(1000):
        path = folder / f"{stamp}-{number:03d}-{header.procedure}.jsonl"
        try:
            file = open(path, "xb", buffering=0, opener=private)  # noqa: SIM115 -- closed by the journal
        except FileExistsError:
            continue
        lock(file, path)
        return path, file
    raise FileExistsError(17, "too many runs of the same moment", str(folder))


def private_folder(folder: Path) -> None:
    """Make a folder, and those missing above it, for the user alone (XDG Base Directory). Raises OSError."""
    for each in reversed([folder, *folder.parents]):
        if not each.exists():
            each.mkdir(mode=0o700, exist_ok=True)


def private(name: str, flags: int) -> int:
    """Open a file that nobody else on this machine may read."""
    return os.open(name, flags, 0o600)


def lock(file: BinaryIO, path: Path) -> None:
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


def sync_folder(folder: Path) -> None:
    """Have the folder keep the new name, where the system lets a folder be synced."""
    if sys.platform == "win32":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
