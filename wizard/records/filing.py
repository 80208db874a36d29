"""Files journals into the records. A journal stays where it is: the records can be built anew from them."""

from __future__ import annotations

import os
from pathlib import Path

from wizard.journal.files import JournalError, read_lines
from wizard.journal.runs import runs_folder
from wizard.records.store import RecordsError, Store

FILE = "records.sqlite"
ENDING = ".jsonl"


class Records:
    """Open records with all journals filed. `troubles`: sentences on what could not be done.

    Where the file cannot be used, the records are built in memory from the journals.
    """

    def __init__(self, store: Store, troubles: list[str]) -> None:
        self.store = store
        self.troubles = troubles


def records_path() -> Path:
    """Return where the records are: beside the folder of journals."""
    return runs_folder().parent / FILE


def open_records(path: Path | None = None, runs: Path | None = None) -> Records:
    """Open the records and file what the journals have in addition. Never raises for a file's sake."""
    path, runs = path or records_path(), runs or runs_folder()
    try:
        store = Store(path)
        try:
            return Records(store, file_journals(store, runs))
        except RecordsError:
            store.close()
            raise
    except RecordsError as error:
        memory = Store()
        return Records(memory, [str(error), *file_journals(memory, runs)])


def file_journals(store: Store, runs: Path) -> list[str]:
    """File each journal that has grown since; return a sentence for each that cannot be read.

    Raises RecordsError where the store does not take them.
    """
    filed, troubles = store.sizes(), []
    try:
        journals = sorted(runs / name for name in os.listdir(runs) if name.endswith(ENDING))
    except FileNotFoundError:
        return []
    except OSError as error:
        return [f"{runs}: the journals cannot be read ({error.strerror})"]
    for path in journals:
        try:
            size = path.stat().st_size
            if filed.get(path.name) != size and size > 0:
                store.put(path.name, size, read_lines(path))
        except (OSError, JournalError) as error:
            troubles.append(str(error))
    return troubles


def file_quietly() -> str:
    """File all journals; return a sentence where that cannot be, else ""."""
    records = open_records()
    records.store.close()
    return records.troubles[0] if records.troubles else ""
