"""What `tramwright history` tells: its texts, JSON and CSV."""

from __future__ import annotations

import argparse
import shutil
import sys
from typing import TYPE_CHECKING, Any

from wizard import exits

if TYPE_CHECKING:
    from wizard.records.fleet import Fleet
    from wizard.records.run import Run, Whole
    from wizard.records.store import Store


def told(args: argparse.Namespace, store: Store | Fleet) -> str:
    """Return the text that is asked for. Raises InputRefused and RecordsError."""
    if args.what == "list":
        return _list(args, chosen(args, store))
    if args.what == "show":
        return _show(args, _whole(args, store, args.run[0]))
    if args.what == "compare":
        return _compare(args, store)
    if args.what == "drift":
        return _drift(args, store)
    return _export(args, [store.whole(each.id) for each in chosen(args, store)])


def chosen(args: argparse.Namespace, store: Store | Fleet) -> list[Run]:
    """Return the runs that are meant, the newest first."""
    part = (args.machine or "").casefold()
    return [each for each in store.runs() if part in each.machine.casefold()]


def _whole(args: argparse.Namespace, store: Store | Fleet, word: str) -> Whole:
    """Return the run that a word means among those that are meant. Raises RecordsError."""
    from wizard.records.store import meant

    return store.whole(meant(word, chosen(args, store)).id)


def compared(store: Store | Fleet, one: str, other: str) -> list[str]:
    """Return two runs beside each other, as lines."""
    from wizard.history import compare

    early, late = compare.in_order(store.whole(one), store.whole(other))
    machine = store.runs(late.run.machine)
    between = sum(early.run.created < run.created < late.run.created for run in machine)
    return compare.text(early, late, between)


def drift_lines(wholes: list[Whole], columns: int | None = None) -> list[str]:
    """Return when a recheck is due, as of now, then charts, as lines."""
    from wizard.history import drifting
    from wizard.journal.moment import now_utc
    from wizard.records.bases import days_between
    from wizard.records.visits import courses_of, due_of, visits

    told = courses_of(wholes)
    charts = (line for course in told for line in ("", *drifting.chart(course, columns)))
    last = max((whole.run.ended for whole in wholes), default=now_utc())
    since_last = days_between(last, now_utc())
    sentence = drifting.due_sentence(due_of(wholes), since_last, len(visits(wholes)))
    return [sentence, *((drifting.LEGEND,) if told else ()), *charts]


def _list(args: argparse.Namespace, runs: list[Run]) -> str:
    from wizard.history import listing

    if args.csv:
        return listing.runs_csv(runs)
    if args.json:
        return _json(listing.runs_object(runs))
    if args.machine and not runs:
        return _lines([f"No runs of a machine with {args.machine!r} in its name are on record."])
    return _lines(listing.table(runs, None if args.output else _columns()))


def _columns() -> int | None:
    """Return the columns of the terminal that is printed to; None where it is none."""
    return shutil.get_terminal_size().columns if sys.stdout.isatty() else None


def _show(args: argparse.Namespace, whole: Whole) -> str:
    from wizard.history import one

    if args.csv:
        return one.record_csv(whole)
    return _json(one.record_object(whole)) if args.json else _lines(one.text(whole))


def _compare(args: argparse.Namespace, store: Store | Fleet) -> str:
    """Return what has moved between two runs. Raises InputRefused where both are the same."""
    from wizard.history import compare
    from wizard.history.listing import as_csv

    one, other = (_whole(args, store, word) for word in args.run)
    if one.run.id == other.run.id:
        raise exits.InputRefused(f"both name the run {one.run.id}: {compare.SAME}")
    if args.csv:
        return as_csv([compare.COLUMNS, *compare.comparison_rows(one, other)])
    if args.json:
        return _json(compare.comparison_object(one, other))
    return _lines(compared(store, one.run.id, other.run.id))


def _drift(args: argparse.Namespace, store: Store | Fleet) -> str:
    """Return the drift of the one machine that is meant."""
    from wizard.history import drifting
    from wizard.records.visits import courses_of, due_of

    wholes = [store.whole(each.id) for each in _of_one_machine(args, store)]
    told, due = courses_of(wholes), due_of(wholes)
    if args.csv:
        from wizard.history.listing import as_csv

        rows = [(c.place, c.kind, day, mm) for c in told for day, mm in zip(c.days, c.moved, strict=True)]
        return as_csv([("place", "kind", "day", "moved_mm"), *rows])
    if args.json:
        return _json(drifting.drift_object(told, due))
    return _lines(drift_lines(wholes, None if args.output else _columns()))


def _of_one_machine(args: argparse.Namespace, store: Store | Fleet) -> list[Run]:
    """Return the runs of the machine that is meant: by its whole name, or by a part that no other has.

    Raises InputRefused where none or several are.
    """
    runs = chosen(args, store)
    names = sorted({each.machine for each in runs})
    exact = [name for name in names if name.casefold() == (args.machine or "").casefold()]
    if len(names) > 1 and not exact:
        said = "\n".join(f"  {name}" for name in names)
        raise exits.InputRefused(
            f"these are {len(names)} machines; choose one by --machine and a part of its name:\n{said}"
        )
    if not names and args.machine:
        raise exits.InputRefused(f"no runs of a machine with {args.machine!r} in its name are on record")
    return [each for each in runs if not exact or each.machine == exact[0]]


def _export(args: argparse.Namespace, wholes: list[Whole]) -> str:
    from wizard.history import one

    if args.csv:
        return one.record_csv(*wholes)
    return _json({"format": "tramwright-export/1", "records": [one.record_object(w) for w in wholes]})


def _json(told: dict[str, Any]) -> str:
    import msgspec

    return msgspec.json.format(msgspec.json.encode(told)).decode() + "\n"


def _lines(lines: list[str]) -> str:
    from profiles.faults import printable

    return "".join(f"{printable(line)}\n" for line in lines)
