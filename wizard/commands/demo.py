"""`tramwright demo [PROFILE]`: the whole job on a simulated printer, by a person or a virtual operator."""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from wizard import exits
from wizard.commands.options import add_simulated, add_thou

if TYPE_CHECKING:
    from drivers.simulated import SimulatedPrinter
    from profiles.machine import Machine
    from wizard.running.assembly import Assembly

DEFAULT = "four-corner-220"
AUTO_SPEED = 600.0
PLAYED_SPEED = 30.0


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `demo` takes."""
    parser.add_argument("profile", metavar="PROFILE", nargs="?", default=DEFAULT, help=f"default {DEFAULT}")
    parser.add_argument("--auto", action="store_true", help="a virtual operator answers; no terminal needed")
    parser.add_argument(
        "--json", action="store_true", help="with --auto: print the result as one JSON object"
    )
    parser.add_argument("--plain", action="store_true", help="line by line, without drawing a screen")
    parser.add_argument(
        "--recheck",
        choices=("nozzle", "drift"),
        help="the recheck of a bed levelled before: after a nozzle swap, or after an adjuster came loose",
    )
    parser.add_argument("--survey", action="store_true", help="measure only; nothing is turned")
    parser.add_argument(
        "--print", action="store_true", help="with --auto: a check print follows, is judged and corrected by"
    )
    add_simulated(parser, speed=None)
    add_thou(parser)


def run(args: argparse.Namespace) -> int:
    """Do the job. Raises ProfileError and InputRefused."""
    from profiles.load import load

    machine = load(args.profile)
    auto = args.auto or args.json
    if not auto and not args.plain:
        auto = _goes_on_alone()
    made = _levelled_before if args.recheck else _simulated
    with made(args, machine, AUTO_SPEED if auto else PLAYED_SPEED) as (printer, assembly):
        if auto:
            return _let_it_run(args, printer, assembly)
        return _play(args, printer, assembly)


def _goes_on_alone() -> bool:
    """Without a terminal to draw on, say so and let the virtual operator do it."""
    from wizard.apps.doors import why_no_screens

    if not why_no_screens(os.environ):
        return False
    print(
        "There is no terminal to draw on: a virtual operator does the job (as with --auto).", file=sys.stderr
    )
    return True


@contextmanager
def _simulated(
    args: argparse.Namespace, machine: Machine, usual_speed: float
) -> Iterator[tuple[SimulatedPrinter, Assembly]]:
    """Serve a simulated printer and put together the job on it; its journal goes when the demo ends."""
    from drivers.simulated import SimulatedPrinter
    from drivers.simulated.serve import local_server
    from wizard.config import thou_wanted
    from wizard.facts import Facts
    from wizard.journal.lines import Header
    from wizard.journal.writing import start
    from wizard.running.assembly import Assembly

    speed = usual_speed if args.speed is None else args.speed
    printer = SimulatedPrinter(machine, args.seed, speed, args.start)
    with local_server(printer) as server, tempfile.TemporaryDirectory(prefix="tramwright-demo-") as folder:
        procedure = "survey" if args.survey else "level"
        journal = start(Header(procedure, machine, port=server.url), Path(folder))
        facts = Facts(machine, simulated=True, thou=args.thou or thou_wanted())
        yield printer, Assembly(facts=facts, journal=journal, source=server.url, speed=speed)


@contextmanager
def _levelled_before(
    args: argparse.Namespace, machine: Machine, usual_speed: float
) -> Iterator[tuple[SimulatedPrinter, Assembly]]:
    """Have a virtual operator level the bed, change something, and put together the recheck."""
    from drivers.simulated.serve import local_server
    from wizard.commands.demo_recheck import aged, levelled, recheck_of

    print("SIMULATED: a virtual operator levels the bed first.", file=sys.stderr, flush=True)
    with tempfile.TemporaryDirectory(prefix="tramwright-demo-") as folder:
        with _simulated(args, machine, AUTO_SPEED) as (before, assembly):
            base = levelled(before, args.seed, assembly)
        speed = usual_speed if args.speed is None else args.speed
        printer = aged(before, args.seed, speed, args.start, args.recheck)
        with local_server(printer) as server:
            yield printer, recheck_of(machine, base, server.url, speed, Path(folder))


def _play(args: argparse.Namespace, printer: SimulatedPrinter, assembly: Assembly) -> int:
    """Let a person play the operator."""
    import msgspec

    from drivers.simulated.operator import Operator
    from wizard.virtual.job import beside_the_machine

    operator = Operator(printer, args.seed)
    assembly = msgspec.structs.replace(assembly, also=partial(beside_the_machine, printer))
    if args.plain:
        from wizard.commands.plain_play import play
        from wizard.commands.virtual_bench import VirtualBench

        return play(assembly, VirtualBench(printer, operator).aside)
    from wizard.apps.doors import run_job
    from wizard.printing.pads import every_pad
    from wizard.virtual.bench import OperatorBench

    bench = OperatorBench(operator, printer.machine.gauge.card_mm, every_pad(printer.machine))
    return run_job(assembly.session, assembly.facts, bench)


def _let_it_run(args: argparse.Namespace, printer: SimulatedPrinter, assembly: Assembly) -> int:
    """Let the virtual operator do it; print each step and a table, or one JSON object."""
    import asyncio

    from wizard.commands.demo_result import as_json, as_text
    from wizard.virtual.job import do_alone

    say: Callable[[str], None] = partial(print, file=sys.stderr if args.json else sys.stdout, flush=True)
    done = asyncio.run(do_alone(printer, args.seed, assembly, say, prints=args.print))
    if args.json:
        print(as_json(args.profile, args.seed, done, printer.machine))
    else:
        print(as_text(done, printer.machine))
    return exits.code_of(done.outcome)
