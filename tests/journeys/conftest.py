"""Whole jobs as a person runs them: programs of their own, typed at and read, over a real line."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest

from drivers.simulated import SimulatedPrinter
from drivers.simulated.operator import Operator
from drivers.simulated.serve import TcpServer, local_server
from profiles.load import load
from tests.journeys.bed import Bed, noted
from tests.journeys.cut_job import Job
from tests.journeys.person import HandsByWord, Person
from tests.journeys.program import Program
from wizard.facts import Facts
from wizard.journal.lines import Header
from wizard.journal.writing import start
from wizard.running.assembly import Assembly
from wizard.virtual.job import Done, do_alone

SPEED = 5000.0


@pytest.fixture
def run(tmp_path: Path) -> Iterator[Callable[..., Program]]:
    """Start a program with its records in a folder of this test's own."""
    with ExitStack() as ends:

        def begin(*argv: object) -> Program:
            program = Program(tuple(str(word) for word in argv), tmp_path)
            ends.callback(program.give_up)
            return program

        yield begin


@pytest.fixture
def bed() -> Iterator[Callable[..., Bed]]:
    """Serve a simulated printer in this process and lend hands at it."""
    with ExitStack() as ends:

        def serve(profile: str, seed: int = 1, start: Any = "snugged", tcp: bool = False) -> Bed:
            printer = SimulatedPrinter(load(profile), seed, SPEED, start)
            blocks, watch = noted(printer)
            server = TcpServer(printer) if tcp else local_server(printer)
            return Bed(printer, ends.enter_context(server), Operator(printer, seed), blocks, watch)

        yield serve


@pytest.fixture
def level(run: Callable[..., Program]) -> Callable[..., Program]:
    """Start `level` on a bed, line by line."""

    def begin(bed: Bed, profile: str, *more: str) -> Program:
        return run("level", profile, "--port", bed.server.url, "--plain", "--speed", SPEED, *more)

    return begin


@pytest.fixture
def person() -> Callable[..., Person]:
    """Make a person who reads, does and types; hands at a bed of this process, or lent by a program."""

    def make(profile: str, hands: Any, gauge: str = "leaves") -> Person:
        return Person(load(profile), HandsByWord(hands) if isinstance(hands, Program) else hands, gauge)

    return make


@pytest.fixture
def job(bed: Callable[..., Bed], level: Callable[..., Program], tmp_path: Path) -> Callable[..., Job]:
    """Set up a job on a bed of its own."""
    return lambda profile, seed: Job(
        lambda there, *more: level(there, profile, *more), bed(profile, seed), tmp_path / "runs"
    )


@pytest.fixture
def alone(bed: Callable[..., Bed], tmp_path: Path) -> Callable[..., tuple[Done, Bed]]:
    """Let the virtual operator do a whole job in this process, over the line, as `demo --auto` does."""

    def do(profile: str, seed: int, start_as: str = "snugged") -> tuple[Done, Bed]:
        there = bed(profile, seed, start_as)
        journal = start(Header("level", there.printer.machine, port=there.server.url), tmp_path)
        facts = Facts(there.printer.machine, simulated=True)
        assembly = Assembly(facts=facts, journal=journal, source=there.server.url, speed=SPEED)
        return asyncio.run(do_alone(there.printer, seed, assembly, lambda _: None)), there

    return do
