"""Which nozzle is in: asked in the terminal before a run begins, kept with its record.

It matters to what is made of the records: a height that has changed with the nozzle is no drift.
"""

from __future__ import annotations

import argparse
import sys
from typing import NamedTuple

NONE = "-"


class Nozzle(NamedTuple):
    """What the person says of the nozzle: what it is called, "" for nothing, and its bore."""

    name: str = ""
    size_mm: float | None = None


def nozzle_of(args: argparse.Namespace, machine_name: str) -> Nozzle:
    """Return the nozzle by the arguments; where they say nothing, ask whoever sits at the terminal."""
    given = args.nozzle is not None or args.nozzle_mm is not None
    if given or getattr(args, "unattended", False) or not _someone_is_there():
        return Nozzle(args.nozzle or "", args.nozzle_mm)
    return ask(last_nozzle(machine_name))


def ask(last: Nozzle) -> Nozzle:
    """Ask for name and bore; Enter takes those of the last run. Leaving off takes them too."""
    try:
        name = _asked("Which nozzle is in, as you call it?", last.name)
        same = name == last.name
        return Nozzle(name, _bore(last.size_mm if same else None)) if name else Nozzle()
    except EOFError:
        return last


def _asked(question: str, usual: str) -> str:
    text = input(f"{question} [{usual or 'Enter: none'}{f', {NONE} for none' if usual else ''}] ").strip()
    return "" if text == NONE else text or usual


def _bore(usual_mm: float | None) -> float | None:
    """Ask for the bore until it can be one; "" where it is not known."""
    from wizard.commands.options import bore_mm

    while True:
        text = _asked("Its bore, mm?", "" if usual_mm is None else f"{usual_mm:g}")
        try:
            return bore_mm(text.replace(",", ".")) if text else None
        except argparse.ArgumentTypeError as error:
            print(f"  {error}.")


def last_nozzle(machine_name: str) -> Nozzle:
    """Return the nozzle that the machine's newest run names; none where the records tell of none."""
    from wizard.records.filing import open_records
    from wizard.records.store import RecordsError

    try:
        with open_records().store as store:
            runs = [run for run in store.runs() if run.machine == machine_name and run.nozzle]
    except RecordsError:
        return Nozzle()
    return Nozzle(runs[0].nozzle, runs[0].nozzle_mm) if runs else Nozzle()


def _someone_is_there() -> bool:
    return sys.stdin is not None and sys.stdin.isatty() and sys.stdout.isatty()
