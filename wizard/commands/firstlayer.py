"""`tramwright firstlayer PROFILE -o FILE`: the check print as a file for a machine that prints by itself."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from wizard import exits

if TYPE_CHECKING:
    from wizard.printing.plan import Plan


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `firstlayer` takes."""
    parser.add_argument("profile", metavar="PROFILE", help="a shipped profile's name, or a TOML file")
    parser.add_argument("-o", "--output", metavar="FILE", required=True, help="the file to write")
    parser.add_argument(
        "--nozzle-c",
        type=float,
        metavar="C",
        help="the filament's nozzle temperature (default: the profile's)",
    )
    parser.add_argument("--bed-c", type=float, metavar="C", help="the filament's plate temperature (0: cold)")
    parser.add_argument("--overwrite", action="store_true", help="write over FILE where it is there already")


def run(args: argparse.Namespace) -> int:
    """Write the file. Raises ProfileError and InputRefused."""
    from drivers.errors import MoveRefused
    from profiles.faults import printable
    from profiles.load import load
    from wizard.printing.file import text_of
    from wizard.printing.plan import NoPrint, plan, temperatures_c

    machine = load(args.profile)
    try:
        usual = temperatures_c(machine)
        bed_c, nozzle_c = (
            u if a is None else a for a, u in zip((args.bed_c, args.nozzle_c), usual, strict=True)
        )
        planned = plan(machine, bed_c, nozzle_c)
        text = text_of(machine, planned)
    except (NoPrint, MoveRefused) as error:
        raise exits.InputRefused(str(error)) from error
    _write(Path(args.output), text, over=args.overwrite)
    for name in planned.layout.without:
        print(f"tramwright: no room for a pad at {printable(name)}", file=sys.stderr)
    print(_told(printable(args.output), planned))
    return exits.WITHIN


def _write(path: Path, text: str, *, over: bool) -> None:
    from profiles.faults import ProfileError, printable
    from profiles.own import write

    if path.exists() and not over:
        file = printable(str(path))
        raise exits.InputRefused(f"{file}: it is there already; --overwrite writes over it.")
    try:
        write(path, text, over=over)
    except ProfileError as error:
        raise exits.InputRefused(str(error)) from error


def _told(file: str, planned: Plan) -> str:
    from profiles.faults import printable

    names = ", ".join(printable(pad.point) for pad in planned.layout.pads)
    return (
        f"{file}: written, a pad each at {names}; nozzle {planned.nozzle_c:g} C, plate {planned.bed_c:g} C.\n"
        "Clear the plate, air the room, and stay with the machine: it gets hot and moves."
    )
