"""`tramwright report RUN`: one run as a file for a workshop."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from wizard import exits
from wizard.commands.options import add_thou
from wizard.commands.output import put_out

if TYPE_CHECKING:
    from wizard.records.run import Whole

ENDINGS = (".html", ".txt", ".json", ".csv")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `report` takes."""
    parser.add_argument("run", metavar="RUN", help="a run's id, its first letters, or `last`")
    parser.add_argument(
        "-o",
        "--output",
        metavar="FILE",
        help=f"a new file; its ending says what it becomes: {', '.join(ENDINGS)}. Without it: text, printed",
    )
    parser.add_argument(
        "--names",
        action="store_true",
        help="name the user and the host who make the report; else it names none",
    )
    add_thou(parser)


def run(args: argparse.Namespace) -> int:
    """Write it. Raises InputRefused."""
    from wizard.records.filing import open_records
    from wizard.records.store import RecordsError

    ending = ".txt" if args.output is None else Path(args.output).suffix.lower()
    if ending not in ENDINGS:
        raise exits.InputRefused(f"{args.output}: the ending has to be one of {', '.join(ENDINGS)}")
    records = open_records()
    for trouble in records.troubles:
        print(f"tramwright: {trouble}", file=sys.stderr)
    with records.store as store:
        try:
            text = _made(store.whole(args.run), ending, args)
        except RecordsError as error:
            raise exits.InputRefused(str(error)) from error
    put_out(text, args.output)
    return exits.WITHIN


def _made(whole: Whole, ending: str, args: argparse.Namespace) -> str:
    """Return the file's text."""
    from wizard.config import thou_wanted
    from wizard.report.content import report_of
    from wizard.report.thousandths import report_beside

    report = report_of(whole, _who() if args.names else "")
    if args.thou or thou_wanted():
        report = report_beside(report)
    if ending == ".html":
        from wizard.report.drawing import best
        from wizard.report.page import page

        return page(report, whole.header.profile, best())
    if ending == ".json":
        import msgspec

        from wizard.history.one import record_object

        return msgspec.json.format(msgspec.json.encode(record_object(whole))).decode() + "\n"
    if ending == ".csv":
        from wizard.history.one import record_csv

        return record_csv(whole)
    from profiles.faults import printable
    from wizard.report.plain import text

    return "".join(f"{printable(line)}\n" for line in text(report).splitlines())


def _who() -> str:
    """Return who makes the report, and on which host."""
    import getpass
    import socket

    try:
        user = getpass.getuser()
    except (OSError, KeyError):  # a user without an entry, as in some containers
        user = "a user without a name"
    return f"reported by {user} on {socket.gethostname()}"
