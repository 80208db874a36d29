"""The tables of the records, by version: each step leads from one version to the next."""

from __future__ import annotations

import sqlite3

STEPS: tuple[str, ...] = (
    # 0 -> 1
    """
    CREATE TABLE run (
        id TEXT PRIMARY KEY,
        procedure TEXT NOT NULL,
        machine TEXT NOT NULL,
        created TEXT NOT NULL,
        ended TEXT NOT NULL,
        status TEXT NOT NULL,
        told TEXT NOT NULL,
        journal TEXT NOT NULL UNIQUE,
        bytes INTEGER NOT NULL
    );
    CREATE INDEX run_by_machine ON run (machine, created);
    CREATE TABLE line (
        run TEXT NOT NULL REFERENCES run (id) ON DELETE CASCADE,
        n INTEGER NOT NULL,
        json TEXT NOT NULL,
        PRIMARY KEY (run, n)
    );
    """,
    # 1 -> 2: readings, changes and last gaps in tables of their own, for whoever asks by SQL
    """
    CREATE TABLE reading (
        run TEXT NOT NULL REFERENCES run (id) ON DELETE CASCADE,
        n INTEGER NOT NULL,
        at TEXT NOT NULL,
        round INTEGER NOT NULL,
        point TEXT NOT NULL,
        z_mm REAL NOT NULL,
        low_mm REAL,
        high_mm REAL,
        how TEXT NOT NULL,
        PRIMARY KEY (run, n)
    );
    CREATE TABLE change (
        run TEXT NOT NULL REFERENCES run (id) ON DELETE CASCADE,
        n INTEGER NOT NULL,
        at TEXT NOT NULL,
        what TEXT NOT NULL,
        turns REAL,
        height_mm REAL
    );
    CREATE TABLE gap (
        run TEXT NOT NULL REFERENCES run (id) ON DELETE CASCADE,
        point TEXT NOT NULL,
        gap_mm REAL NOT NULL,
        u_mm REAL NOT NULL,
        deviation_mm REAL NOT NULL,
        PRIMARY KEY (run, point)
    );
    UPDATE run SET bytes = -1;
    """,
    # 2 -> 3: readings that were taken although the soak had been cut short
    "ALTER TABLE reading ADD COLUMN early INTEGER NOT NULL DEFAULT 0",
    # 3 -> 4: how warm the machine told to be at a reading
    """
    ALTER TABLE reading ADD COLUMN bed_c REAL;
    ALTER TABLE reading ADD COLUMN nozzle_c REAL;
    """,
)
VERSION = len(STEPS)


class TooNew(Exception):
    """The file was written by a later version of the program."""


def migrate(connection: sqlite3.Connection) -> None:
    """Bring the tables to this version, each step in a transaction. Raises TooNew, sqlite3.Error.

    Where two programs do it at once, the second finds it done.
    """
    while (found := version_of(connection)) != VERSION:
        if found > VERSION:
            raise TooNew(f"version {found}, this program knows {VERSION}")
        connection.execute("BEGIN IMMEDIATE")
        try:
            _step(connection)
        except BaseException:
            connection.rollback()
            raise
        connection.commit()


def _step(connection: sqlite3.Connection) -> None:
    """Make one step, unless another program has just made it."""
    found = version_of(connection)
    if found >= VERSION:
        return
    for statement in STEPS[found].split(";"):
        if statement.strip():
            connection.execute(statement)
    connection.execute(f"PRAGMA user_version = {found + 1:d}")


def version_of(connection: sqlite3.Connection) -> int:
    """Return the version that the file's tables have; 0 for an empty file."""
    (found,) = connection.execute("PRAGMA user_version").fetchone()
    return int(found)
