"""What `tramwright history` adds to the records of this host: readings kept elsewhere, and remarks."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from wizard import exits

if TYPE_CHECKING:
    from wizard.records.imported import BroughtIn
    from wizard.records.run import Run
    from wizard.records.store import Store

MOST_LETTERS = 500


def bring_in(profile: str, name: str) -> int:
    """Make runs of the readings in a file. Raises ProfileError and InputRefused."""
    from profiles.load import load
    from wizard.formats.rounds_values import RoundsFault
    from wizard.instructions.figures import counted
    from wizard.journal.runs import runs_folder
    from wizard.records.filing import file_quietly
    from wizard.records.imported import write_runs
    from wizard.records.sheet import text_of

    machine = load(profile)
    try:
        brought = write_runs(text_of(Path(name).read_bytes()), machine, runs_folder())
    except RoundsFault as fault:
        raise exits.InputRefused(f"{name}: {fault}") from fault
    except UnicodeDecodeError as error:
        raise exits.InputRefused(f"{name}: is no text; save it as CSV in UTF-8") from error
    except OSError as error:
        raise exits.InputRefused(
            f"{name}: cannot be read, or its runs not written: {error.strerror}"
        ) from error
    print(f"{machine.name}: {counted(brought.new, 'new run')}, {brought.known} on record already.")
    for sentence in _beside(brought):
        print(f"tramwright: {sentence}", file=sys.stderr)
    if trouble := file_quietly():
        print(f"tramwright: {trouble}", file=sys.stderr)
    return exits.WITHIN


def _beside(brought: BroughtIn) -> Iterator[str]:
    """Tell what was not taken, and what is now on record twice."""
    if brought.left_out:
        yield f"columns not taken: {', '.join(brought.left_out)}"
    if brought.doubled:
        times = ", ".join(brought.doubled)
        yield f"other readings of the same time were on record already, and both stand: {times}"


def remark(word: str, text: str) -> int:
    """Add a person's words to a run: to its journal, else to the records alone. Raises InputRefused."""
    from wizard.journal.files import JournalError
    from wizard.records.opening import RecordsError

    said = " ".join(text.split())
    if not said or len(said) > MOST_LETTERS:
        raise exits.InputRefused(f"a remark has one to {MOST_LETTERS} letters, this one has {len(said)}")
    try:
        run = noted(word, said)
    except (RecordsError, JournalError) as error:
        raise exits.InputRefused(str(error)) from error
    print(f"Noted with the run {run.id}, {run.machine}.")
    return exits.WITHIN


def noted(word: str, said: str) -> Run:
    """Add the words; return the run as it is then. Raises RecordsError; JournalError where it is in use."""
    from wizard.records.filing import open_records

    with open_records().store as store:
        run = store.find(word)
        _add(store, run.id, said)
        return store.find(run.id)


def _add(store: Store, run: str, said: str) -> None:
    """Write the remark. Raises JournalError where a session is writing the run, or the disk refuses."""
    from wizard.journal.files import JournalError
    from wizard.journal.lines import Remark
    from wizard.journal.moment import now_utc
    from wizard.journal.runs import runs_folder
    from wizard.journal.writing import reopen
    from wizard.records.filing import file_journals

    name = store.journal_of(run)
    path = runs_folder() / name
    if not path.exists():  # fetched from other hosts
        store.put(name, 0, [*store.lines(run), Remark(said, now_utc())], run)
        return
    journal = reopen(path)
    journal.remark(said)
    journal.close()
    if journal.trouble:
        raise JournalError(journal.trouble)
    file_journals(store, runs_folder())
