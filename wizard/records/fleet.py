"""Ended runs shared between hosts in one PostgreSQL database, through SQLAlchemy (extra `fleet`).

A run is one row, written once and never changed, under the id that it has everywhere: whatever is cut off
or done twice comes to the same. Work on this host never waits for it.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from itertools import islice
from typing import Any, TypeVar

import msgspec
import sqlalchemy as sa
from sqlalchemy.dialects.postgresql import insert
from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from wizard.journal.lines import AnyLine
from wizard.records.opening import decoded
from wizard.records.run import Run, Whole, whole_of
from wizard.records.store import RecordsError, Store, known_as, meant

T = TypeVar("T")
BATCH = 100
TRIES = 40
WAIT_S = 0.5
"""Between two tries: a server that restarts is given about twenty seconds."""

NO_ADDRESS = "not the address of shared records, which is like postgresql://USER@HOST/DATABASE"

TABLES = sa.MetaData()
RUN = sa.Table(
    "tramwright_run",
    TABLES,
    sa.Column("id", sa.Text, primary_key=True),
    sa.Column("machine", sa.Text, nullable=False, index=True),
    sa.Column("created", sa.Text, nullable=False, index=True),
    sa.Column("told", sa.Text, nullable=False),
    sa.Column("lines", sa.Text, nullable=False),
)


class Fleet:
    """An open connection to the shared records. Raises RecordsError where they cannot be used.

    tell: hears a sentence where the server does not answer and is waited for.
    """

    def __init__(self, url: str, tell: Callable[[str], None] = lambda _: None) -> None:
        address = _address(url)
        self._where = _harmless(address)
        self._tell = tell
        try:
            self._engine = sa.create_engine(address, pool_pre_ping=True)
        except (SQLAlchemyError, ImportError, ValueError) as error:
            raise RecordsError(f"{self._where}: {NO_ADDRESS}") from error
        self._tried(self._make_tables)

    def close(self) -> None:
        """Let go of the connection."""
        self._engine.dispose()

    def push(self, store: Store) -> int:
        """Send the ended runs that are not there yet; return how many were new."""
        ended = [run for run in store.runs() if run.status != "not ended"]
        return sum(self._tried(partial(self._push, store, part)) for part in _parts(ended))

    def _push(self, store: Store, runs: Sequence[Run]) -> int:
        with self._engine.begin() as connection:
            there = self._there(connection, [run.id for run in runs])
            rows = [_row(run, store.lines(run.id)) for run in runs if run.id not in there]
            if not rows:
                return 0
            put = insert(RUN).values(rows).on_conflict_do_nothing().returning(RUN.c.id)
            return len(connection.execute(put).fetchall())

    def pull(self, store: Store) -> int:
        """Fetch the runs that are not here yet; return how many were new."""
        here = {run.id for run in store.runs()}
        missing = [run for run in self.runs() if run.id not in here]
        for run in missing:
            store.put(f"pulled {run.id}", 0, self.lines(run.id), run.id)
        return len(missing)

    def runs(self, machine: str | None = None) -> list[Run]:
        """Return all runs, the newest first, or those of one machine."""
        wanted = sa.select(RUN.c.told).order_by(RUN.c.created.desc(), RUN.c.id)
        rows = self._read(wanted if machine is None else wanted.where(RUN.c.machine == machine))
        return [decoded(told, Run, self._where) for (told,) in rows]

    def lines(self, run: str) -> list[AnyLine]:
        """Return the journal's lines of the run with that id."""
        ((lines,),) = self._read(sa.select(RUN.c.lines).where(RUN.c.id == run))
        told: list[AnyLine] = decoded(lines, list[AnyLine], f"{self._where}, run {run}")
        return told

    def whole(self, word: str, machine: str | None = None) -> Whole:
        """Return the run that `word` means: "last", or the first letters of its id."""
        run = meant(word, self.runs(machine))
        return known_as(run.id, whole_of("", self.lines(run.id)))

    def _read(self, wanted: sa.Select[Any]) -> list[tuple[Any, ...]]:
        def read() -> list[tuple[Any, ...]]:
            with self._engine.connect() as connection:
                return [tuple(row) for row in connection.execute(wanted)]

        return self._tried(read)

    def _make_tables(self) -> None:
        with self._engine.begin() as connection:
            # Two hosts that make the tables at once would collide; the second waits, and finds them.
            connection.execute(sa.text("SELECT pg_advisory_xact_lock(7480213)"))
            TABLES.create_all(connection)

    def _there(self, connection: sa.Connection, ids: list[str]) -> set[str]:
        return set(connection.execute(sa.select(RUN.c.id).where(RUN.c.id.in_(ids))).scalars())

    def _tried(self, act: Callable[[], T]) -> T:
        """Do it, again where the server went away meanwhile. Raises RecordsError."""
        for left in reversed(range(TRIES)):
            try:
                return act()
            except DBAPIError as error:
                if not left or not _may_pass(error):
                    raise RecordsError(f"{self._where}: {_first_line(error)}") from error
                if left == TRIES - 1:
                    self._tell(
                        f"{self._where} does not answer; it is waited for, {TRIES * WAIT_S:.0f} s at most"
                    )
                time.sleep(WAIT_S)
            except SQLAlchemyError as error:
                raise RecordsError(f"{self._where}: {error}") from error
        raise AssertionError("unreachable")


def _row(run: Run, lines: list[AnyLine]) -> dict[str, str]:
    """Return the row of a run; ports are left out, they mean nothing on another host."""
    bare = [msgspec.structs.replace(lines[0], port=""), *lines[1:]]
    return {
        "id": run.id,
        "machine": run.machine,
        "created": run.created,
        "told": msgspec.json.encode(run).decode(),
        "lines": msgspec.json.encode(bare).decode(),
    }


def _parts(runs: Sequence[Run]) -> Iterator[list[Run]]:
    rest = iter(runs)
    while part := list(islice(rest, BATCH)):
        yield part


def _address(url: str) -> sa.URL:
    """Return the address, with the driver that comes with the extra. Raises RecordsError, without it.

    What cannot be read as an address may hold a password anywhere.
    """
    try:
        address = sa.make_url(url)
    except (SQLAlchemyError, ValueError) as error:
        raise RecordsError(f"what was given is {NO_ADDRESS}") from error
    if address.get_backend_name() != "postgresql":
        raise RecordsError(f"{_harmless(address)}: {NO_ADDRESS}")
    return address.set(drivername="postgresql+psycopg")


def _harmless(address: sa.URL) -> str:
    """Return the address without user, password and options."""
    bare = sa.URL.create(address.drivername.partition("+")[0], None, None, address.host, address.port)
    return f"{bare}/{address.database or ''}"


def _may_pass(error: DBAPIError) -> bool:
    """Whether the server went away, is starting or ended the connection (SQLSTATE classes 08 and 57)."""
    state = getattr(error.orig, "sqlstate", None)
    return error.connection_invalidated or state is None or state[:2] in ("08", "57")


def _first_line(error: DBAPIError) -> str:
    return str(error.orig).strip().partition("\n")[0]
