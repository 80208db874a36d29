"""`tramwright simulate PROFILE`: serve the simulated printer, and lend a virtual hand at it."""

from __future__ import annotations

import argparse
import shlex
import sys
import threading
from typing import TYPE_CHECKING

from wizard import exits
from wizard.commands.options import add_simulated

if TYPE_CHECKING:
    from drivers.simulated import SimulatedPrinter
    from drivers.simulated.serve import Server
    from wizard.commands.virtual_bench import VirtualBench

PROMPT = "hand> "


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `simulate` takes."""
    parser.add_argument("profile", metavar="PROFILE", help="a shipped profile's name, or a TOML file")
    add_simulated(parser, speed=1.0)
    where = parser.add_mutually_exclusive_group()
    where.add_argument("--listen", metavar="HOST:PORT", help="serve on a TCP port; port 0 takes a free one")
    where.add_argument("--pty", action="store_true", help="serve on a pseudo-terminal (the default)")


def run(args: argparse.Namespace) -> int:
    """Serve until told to quit. Raises ProfileError and InputRefused."""
    from drivers.simulated import SimulatedPrinter
    from drivers.simulated.operator import Operator
    from profiles.load import load
    from wizard.commands.virtual_bench import VirtualBench

    printer = SimulatedPrinter(load(args.profile), args.seed, args.speed, args.start)
    with _server(printer, args.listen) as server:
        print(
            f"SIMULATED printer {printer.machine.name!r}, seed {args.seed}, nothing real moves:"
            f" tramwright level {shlex.quote(args.profile)} --port {server.url}",
            flush=True,
        )
        _lend_hands(VirtualBench(printer, Operator(printer, args.seed)))
    return exits.WITHIN


def _server(printer: SimulatedPrinter, listen: str | None) -> Server:
    from drivers.simulated.serve import TcpServer, local_server

    try:
        return TcpServer(printer, *_host_and_port(listen)) if listen else local_server(printer)
    except OSError as error:
        raise exits.InputRefused(f"--listen {listen}: {_why(error)}") from error


def _host_and_port(text: str) -> tuple[str, int]:
    host, colon, port = text.rpartition(":")
    if not colon or not host or not port.isascii() or not port.isdigit() or int(port) > 65535:
        raise exits.InputRefused(f"--listen {text}: give HOST:PORT, such as 127.0.0.1:7070")
    return host, int(port)


def _why(error: OSError) -> str:
    return (error.strerror or str(error)).partition(" (")[0]


def _lend_hands(bench: VirtualBench) -> None:
    """Carry out typed lines until `quit`. Where nobody sits at a terminal, the end of input ends nothing."""
    at_terminal = sys.stdin is not None and sys.stdin.isatty()
    if at_terminal:
        print("Type readings there, and here what the hand does; help lists it.", flush=True)
    while (line := _next_line(at_terminal)) is not None:
        if line.strip().casefold() in ("quit", "exit"):
            return
        if told := bench.answer(line):
            print(told, flush=True)
    if not at_terminal:
        threading.Event().wait()


def _next_line(at_terminal: bool) -> str | None:
    """Return the next typed line; None at the end of input."""
    if at_terminal:
        try:
            return input(PROMPT)
        except EOFError:
            return None
    return (sys.stdin.readline() or None) if sys.stdin is not None else None
