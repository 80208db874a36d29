"""How a machine stands by its records, in a sentence or two."""

from __future__ import annotations

from wizard.history.drifting import due_sentence
from wizard.instructions.rechecking import days_words
from wizard.journal.moment import now_utc
from wizard.records.bases import days_between, last_proven
from wizard.records.filing import open_records
from wizard.records.run import Run
from wizard.records.store import RecordsError
from wizard.records.visits import due_of

NEWEST = 60
"""Runs by which it is told when a recheck is due: a machine's last year, with one every week."""


def is_proven(machine_name: str) -> bool:
    """Whether the machine has a proven run, which a recheck can compare with."""
    try:
        with open_records().store as store:
            return last_proven(store.runs(machine_name)) is not None
    except RecordsError:
        return False


def standing(machine_name: str) -> str:
    """Return when the machine was last proven and when a recheck is due; "" where nothing is on record."""
    try:
        with open_records().store as store:
            runs = store.runs(machine_name)
            due = due_of([store.whole(run.id) for run in runs[:NEWEST]])
    except RecordsError as error:
        return str(error)
    if not runs:
        return ""
    since_last = days_between(runs[0].ended, now_utc())
    return f"{_proof(last_proven(runs))} {due_sentence(due, since_last, len(runs))}"


def _proof(proven: Run | None) -> str:
    if proven is None:
        return "Not proven yet."
    simulated = " [simulated]" if proven.simulated else ""
    return f"Last proven {days_words(days_between(proven.ended, now_utc()))} ago{simulated}."
