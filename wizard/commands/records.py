"""`tramwright records push URL`, `pull URL`: share ended runs with other hosts."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

from wizard import exits

if TYPE_CHECKING:
    from wizard.records.fleet import Fleet


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `records` takes."""
    parser.add_argument("what", choices=("push", "pull"), help="send ended runs, or fetch those of others")
    parser.add_argument(
        "url",
        metavar="URL",
        help="postgresql://USER@HOST/DATABASE; a password rather stands in ~/.pgpass than here",
    )


def run(args: argparse.Namespace) -> int:
    """Do it. Raises InputRefused."""
    from wizard.records.filing import open_records
    from wizard.records.store import RecordsError

    fleet = open_fleet(args.url)
    try:
        records = open_records()
        for trouble in records.troubles:
            print(f"tramwright: {trouble}", file=sys.stderr)
        with records.store as store:
            new = fleet.push(store) if args.what == "push" else fleet.pull(store)
    except RecordsError as error:
        raise exits.InputRefused(str(error)) from error
    finally:
        fleet.close()
    done = "sent" if args.what == "push" else "fetched"
    print(
        f"{new} {'run' if new == 1 else 'runs'} {done}; {'any others' if new else 'all'} were there already."
    )
    return exits.WITHIN


def open_fleet(url: str) -> Fleet:
    """Open the shared records. Raises InputRefused."""
    from wizard.records.store import RecordsError

    try:
        from wizard.records.fleet import Fleet
    except ImportError as error:
        raise exits.InputRefused(
            f"shared records need the extra `fleet` (pip install 'tramwright[fleet]'): {error}"
        ) from error
    try:
        return Fleet(url, lambda sentence: print(f"tramwright: {sentence}", file=sys.stderr, flush=True))
    except RecordsError as error:
        raise exits.InputRefused(str(error)) from error
