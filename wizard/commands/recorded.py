"""What follows a run on the command line: its journal is filed; one that the disk refused finds a place."""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from wizard.journal.moment import now_utc
from wizard.journal.runs import runs_folder
from wizard.journal.writing import Journal

MOST_TRIES = 3


@contextmanager
def recorded(journal: Journal) -> Iterator[None]:
    """File the journal as it grows, and once the run has ended, however it ended."""
    from wizard.records.live import Live

    live = Live(journal)
    journal.also = live.take
    try:
        yield
    finally:
        live.close()
        _keep(journal)


def _keep(journal: Journal) -> None:
    from wizard.records.filing import file_quietly

    if journal.trouble:
        _tell(f"{journal.trouble}; the run was kept in memory")
        _rescue(journal)
    elif trouble := file_quietly():
        _tell(f"{trouble}. The journal of this run is whole: {journal.path}")


def _rescue(journal: Journal) -> None:
    """Ask where the record goes; where nobody can be asked, to the folder for passing things."""
    stamp = "".join(letter for letter in now_utc()[:19] if letter.isdigit())
    name = journal.path.name if journal.path else f"{stamp}-{journal.header.procedure}.jsonl"
    usual = Path(tempfile.gettempdir()) / name  # moved to its folder it takes the place of what is torn there
    for _ in range(MOST_TRIES):
        path = _asked(usual)
        if _written(journal, path):
            _tell(
                f"the record of this run is in {path}; moved to {runs_folder()}{_renamed(path)}, "
                "it is filed at the next call"
            )
            return
        if path == usual:
            break
    _tell("the record of this run could not be kept")


def _renamed(path: Path) -> str:
    """Say what a file's name must be to be filed, where it is another."""
    return "" if path.suffix == ".jsonl" else f" as {path.stem}.jsonl"


def _asked(usual: Path) -> Path:
    if not (sys.stdin.isatty() and sys.stderr.isatty()):
        return usual
    print(f"Write the record of this run to which file? [{usual}] ", end="", file=sys.stderr, flush=True)
    try:
        typed = sys.stdin.readline().strip()
    except (OSError, KeyboardInterrupt):
        typed = ""
    return Path(typed).expanduser() if typed else usual


def _written(journal: Journal, path: Path) -> bool:
    from wizard.records.rescue import write_elsewhere

    try:
        write_elsewhere(journal, path)
    except OSError as error:
        _tell(f"{path}: cannot be written: {error.strerror}")
        return False
    return True


def _tell(text: str) -> None:
    print(f"tramwright: {text}", file=sys.stderr, flush=True)
