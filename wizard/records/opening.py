"""How the file of records is opened, and what is said where it cannot be used."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path
from typing import Any

import msgspec

from wizard.journal.files import private_folder
from wizard.records import schema

WAIT_S = 20.0
"""How long to wait for another program that is writing."""

ANEW = "nothing is lost: move it away, and it is built anew from the journals in runs"


class RecordsError(Exception):
    """The records cannot be used: the text names the file, what is wrong, and what to do."""


def decoded(text: str, kind: Any, where: object) -> Any:
    """Return what a cell of the records tells. Raises RecordsError where this version cannot read it."""
    try:
        return msgspec.json.decode(text, type=kind)
    except msgspec.MsgspecError as error:
        raise RecordsError(
            f"{where}: holds what this version of the program cannot read ({error}); use a later version"
        ) from error


def opened(path: Path | None, wait_s: float) -> sqlite3.Connection:
    """Open and migrate; nobody but the user may read the file and what SQLite puts beside it."""
    if path is not None:
        private_folder(path.parent)
        os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))
    connection = sqlite3.connect(path or ":memory:", timeout=wait_s, isolation_level=None)
    try:
        connection.execute("PRAGMA foreign_keys = ON")
        schema.migrate(connection)
        _write_ahead(connection)
    except BaseException:
        connection.close()
        raise
    return connection


def _write_ahead(connection: sqlite3.Connection) -> None:
    """Have the file written ahead; where another program is at it, or a file system cannot, as it was.

    That takes memory which all who use the file share, so all of them have to be on one host: several hosts
    share their records through a server, not through a folder.
    """
    try:
        (mode,) = connection.execute("PRAGMA journal_mode = WAL").fetchone()
    except sqlite3.OperationalError as error:
        if not getattr(error, "sqlite_errorname", "").startswith("SQLITE_BUSY"):
            raise
        mode = ""
    connection.execute(f"PRAGMA synchronous = {'NORMAL' if mode == 'wal' else 'FULL'}")


def sentence(path: Path | None, error: Exception) -> str:
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
