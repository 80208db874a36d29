"""The command line: arguments only. Each command's module is imported when it is the one called."""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections.abc import Sequence
from importlib import import_module

from drivers.errors import DriverError
from profiles.faults import ProfileError
from wizard import __version__, exits

COMMANDS: dict[str, str] = {
    "level": "the whole guided job on a machine: level the bed, set the nozzle height, prove it",
    "recheck": "is it still right? A few readings after a nozzle swap or some weeks",
    "survey": "measure only: how the bed stands, what turns would do, what none can remove",
    "demo": "the same job on a simulated printer",
    "firstlayer": "write the check print, a small first layer at the points, as a file",
    "history": "records of runs: list, browse, show, compare, export, drift, remark, import",
    "report": "one run as a file: HTML with pictures, text, JSON or CSV",
    "records": "share ended runs with other hosts: push, pull",
    "solve": "readings in a file: what they say, and which adjuster to turn",
    "profiles": "machine descriptions: list, show, check, new, copy, schema",
    "keys": "the keys in force, as the settings file in which they can be changed",
    "ports": "serial ports found, and whether they can be opened",
    "simulate": "serve the simulated printer to another program",
}
YOUNG_OBJECTS = 50_000
"""After so many new objects garbage is looked for: starting makes many, and there is none among them."""
EPILOG = """\
Without a command the program opens in the terminal.

exit codes: 0 done and within tolerance; 1 done, not within tolerance or undecided;
2 wrong arguments or input file; 3 machine or line fault; 130 stopped by the operator
"""


def parser(argv: Sequence[str]) -> argparse.ArgumentParser:
    """Return the parser for these arguments: all commands by name, the chosen one in full.

    Where the first word is a command, no other can be asked about, and none but it is made.
    """
    top = argparse.ArgumentParser(
        prog="tramwright",
        description="Levels the bed and sets the nozzle height of a filament 3D printer, step by step.",
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    told = f"%(prog)s {__version__}"
    top.add_argument("--version", action="version", version=told, help="show the version and leave")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", title="commands")
    chosen = next((word for word in argv if not word.startswith("-")), None)
    asked = [chosen] if chosen in COMMANDS and argv[0] == chosen else COMMANDS
    for name in asked:
        told = COMMANDS[name]
        sub = commands.add_parser(
            name, help=told, description=told[0].upper() + told[1:] + ".", allow_abbrev=False
        )
        if name == chosen:
            import_module(f"wizard.commands.{name}").add_arguments(sub)
    return top


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code. Wrong arguments leave by SystemExit(2)."""
    gc.set_threshold(YOUNG_OBJECTS)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a name that the terminal cannot show is no reason to break off
            stream.reconfigure(errors="backslashreplace")
    argv = sys.argv[1:] if argv is None else argv
    args = parser(argv).parse_args(argv)
    try:
        return _run(args)
    except KeyboardInterrupt:
        return exits.STOPPED
    except BrokenPipeError:  # whoever read the output has enough of it
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return exits.NOT_WITHIN
    except (ProfileError, exits.InputRefused) as error:
        return _refuse(error, exits.WRONG_INPUT)
    except DriverError as error:
        return _refuse(error, exits.MACHINE_FAULT)


def _run(args: argparse.Namespace) -> int:
    if args.command is None:
        return _open()
    code: int = import_module(f"wizard.commands.{args.command}").run(args)
    sys.stdout.flush()
    return code


def _open() -> int:
    """Open the program: what is picked on its first screen is run as the command that does the same."""
    picked = import_module("wizard.apps.doors").pick()
    return picked if isinstance(picked, int) else main(picked.argv)


def _refuse(error: Exception, code: int) -> int:
    print(f"tramwright: {error}", file=sys.stderr)
    return code


if __name__ == "__main__":
    sys.exit(main())
