"""`tramwright history`: the records of runs; list, show, compare, export, drift."""

from __future__ import annotations

import argparse
import sys
from contextlib import closing
from typing import TYPE_CHECKING

from wizard import exits
from wizard.commands.output import put_out

if TYPE_CHECKING:
    from wizard.records.fleet import Fleet
    from wizard.records.run import Run
    from wizard.records.store import Store

TAKES = {
    "list": (),
    "browse": (),
    "show": ("RUN",),
    "compare": ("RUN", "RUN"),
    "export": (),
    "drift": (),
    "remark": ("RUN", "TEXT"),
    "import": ("PROFILE", "FILE.csv"),
}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `history` takes."""
    parser.add_argument(
        "what",
        nargs="?",
        choices=tuple(TAKES),
        default="list",
        help="list them (default), browse on the screen, show one, compare two, export all, drift of a"
        " machine, remark: add words of yours to one, import",
    )
    parser.add_argument(
        "run",
        metavar="RUN",
        nargs="*",
        help="a run's id, its first letters, or `last`; for remark: RUN TEXT; for import: PROFILE FILE.csv",
    )
    parser.add_argument("--store", metavar="URL", help="read shared records: postgresql://USER@HOST/DATABASE")
    parser.add_argument("--machine", metavar="NAME", help="only runs of machines with NAME in their name")
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="print one JSON object")
    form.add_argument("--csv", action="store_true", help="print CSV")
    parser.add_argument("-o", "--output", metavar="FILE", help="write to FILE, which must not exist")


def run(args: argparse.Namespace) -> int:
    """Print what is asked for. Raises InputRefused."""
    from wizard.commands.history_told import told
    from wizard.records.store import RecordsError

    wanted = TAKES[args.what]
    if len(args.run) != len(wanted):
        raise exits.InputRefused(
            f"history {args.what} takes {' '.join(wanted) or 'nothing more'}, but was given {len(args.run)}"
        )
    if args.what in ("import", "remark"):
        return _write(args)
    with closing(_store(args)) as store:
        try:
            if args.what == "browse":
                return _browse(args, store)
            put_out(told(args, store), args.output)
        except RecordsError as error:
            raise exits.InputRefused(str(error)) from error
    return exits.WITHIN


def _write(args: argparse.Namespace) -> int:
    """Do what adds to the records of this host. Raises ProfileError and InputRefused."""
    from wizard.commands.history_writes import bring_in, remark

    if args.store or args.machine or args.json or args.csv or args.output:
        raise exits.InputRefused(
            f"history {args.what} goes with no option: it adds to the records of this host"
        )
    return (bring_in if args.what == "import" else remark)(*args.run)


def _store(args: argparse.Namespace) -> Store | Fleet:
    """Return the records to read: this host's, or shared ones."""
    from wizard.commands.records import open_fleet
    from wizard.records.filing import open_records

    if args.store:
        return open_fleet(args.store)
    records = open_records()
    for trouble in records.troubles:
        print(f"tramwright: {trouble}", file=sys.stderr)
    return records.store


def _browse(args: argparse.Namespace, store: Store | Fleet) -> int:
    """Show the records on the screen."""
    from wizard.apps.doors import browse
    from wizard.commands.history_told import chosen, compared, drift_lines
    from wizard.history import one
    from wizard.screens.history_desk import Book, HistoryDesk

    def drift(machine: str, columns: int) -> list[str]:
        return drift_lines([store.whole(each.id) for each in store.runs(machine)], columns)

    book = Book(
        one=lambda run: one.text(store.whole(run)),
        drift=drift,
        compared=lambda run, other: compared(store, run, other),
        remark=None if args.store else _remark,
    )
    return browse(HistoryDesk(chosen(args, store), book))


def _remark(run: str, text: str) -> Run:
    """Add words to a run of this host; return it as it is then. Raises RecordsError."""
    from wizard.commands.history_writes import noted
    from wizard.journal.files import JournalError
    from wizard.records.opening import RecordsError

    try:
        return noted(run, text)
    except JournalError as error:
        raise RecordsError(str(error)) from error
