"""What breaks a line or a session from outside, on programs of their own over a real pseudo-terminal."""

from __future__ import annotations

import json
import os
import re
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest

from drivers.simulated.serve import PtyServer
from tests.journeys.at_screen import AtScreen
from tests.journeys.program import Program
from tests.journeys.terminal import Terminal
from tests.journeys.test_broken_off import PROFILE, STOPPED, until_reading, until_title

SPEED = 5000


@pytest.fixture
def cable(bed: Callable[..., Any], tmp_path: Path) -> Iterator[Any]:
    """A bed behind a path of its own, which can be pulled out and plugged in again at another device."""

    class Cable:
        def __init__(self) -> None:
            self.bed = bed(PROFILE, 7)
            self.path = tmp_path / "port"
            self.path.symlink_to(self.bed.server.url)

        def pull(self) -> None:
            self.bed.server.close()
            self.path.unlink()

        def plug_in(self, ends: ExitStack) -> None:
            server = ends.enter_context(PtyServer(self.bed.printer))
            self.path.symlink_to(server.url)

    with ExitStack() as ends:
        made = Cable()
        made.plug_in_again = lambda: made.plug_in(ends)  # type: ignore[attr-defined]
        yield made


def level(run: Callable[..., Program], path: Path, *more: str) -> Program:
    return run("level", PROFILE, "--port", path, "--plain", "--speed", SPEED, *more)


def test_a_device_that_is_pulled_out_is_waited_for_and_the_job_goes_on_at_the_same_step(
    cable: Any, run: Callable[..., Program], person: Callable[..., Any]
) -> None:
    """Nobody types `retry`; before anything moves a person is asked, and the machine is homed first."""
    somebody, program = person(PROFILE, cable.bed.hands), level(run, cable.path)
    page = until_reading(somebody, program)
    cable.pull()
    program.type(somebody.answer(page))
    fault = until_title(program, "The line to the machine is lost.")
    assert "goes on" in fault.body
    before = len(cable.bed.blocks)
    cable.plug_in_again()
    asked = program.question()
    assert "Note: The line to the machine is there again." in program.said
    assert cable.bed.blocks[before:] == []
    program.type(somebody.answer(asked))
    assert somebody.do(program) == 0
    moved = [code for code in cable.bed.blocks[before:] if code in ("G0", "G1", "G28")]
    assert moved[0] == "G28"
    assert cable.bed.worst_mm <= cable.bed.tolerance_mm
    assert cable.bed.printer.record.violations == []


def test_a_stop_with_the_line_gone_is_written_as_soon_as_it_is_back(
    cable: Any, run: Callable[..., Program], person: Callable[..., Any]
) -> None:
    """The person need not wait for the device; what became of the stop is said at each turn."""
    somebody, program = person(PROFILE, cable.bed.hands), level(run, cable.path)
    page = until_reading(somebody, program)
    cable.pull()
    program.type(somebody.answer(page))
    until_title(program, "The line to the machine is lost.")
    program.type("stop")
    program.until("The stop could NOT be sent.")
    cable.plug_in_again()
    assert program.ends() == STOPPED
    assert "Stopping: the machine has confirmed." in program.said
    assert cable.bed.printer.record.stops >= 1


def test_a_machine_that_falls_silent_is_named_with_the_last_lines_and_taken_up_when_it_speaks(
    cable: Any, run: Callable[..., Program], person: Callable[..., Any]
) -> None:
    """It hangs: its line is there, but nothing is answered until the block's own deadline is over."""
    somebody, program = person(PROFILE, cable.bed.hands), level(run, cable.path)
    page = until_reading(somebody, program)
    answer = somebody.answer(page)
    with cable.bed.printer.lock:  # its controller does nothing while this is held
        program.type(answer)
        fault = until_title(program, "The machine does not answer.")
    named = re.search(r"did not answer '([GM][^']+)' in time", fault.body)
    assert named is not None
    assert re.search(rf"> N\d+ {re.escape(named[1])}\*\d+", fault.body)
    program.type("retry")
    assert somebody.do(program) == 0
    assert cable.bed.printer.record.violations == []


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_heat_stays_on_where_it_was_asked_for_and_the_nozzle_is_lifted_all_the_same(
    job: Callable[..., Any], person: Callable[..., Any], tmp_path: Path, number: signal.Signals
) -> None:
    """The journal is closed by its last line, and the job can be taken up."""
    this = job(PROFILE, 7)
    somebody = person(PROFILE, this.bed.hands)
    program = this._begin(this.bed, "--keep-hot")
    page = until_reading(somebody, program)
    program.signal(number)
    assert program.ends() == STOPPED
    assert this.bed.is_cold_and_lifted() == (False, True)
    (journal,) = (tmp_path / "runs").glob("*.jsonl")
    assert json.loads(journal.read_bytes().splitlines()[-1])["line"] == "break"
    cut = this.stands()
    again = this.taken_up(cut)
    again.type("y")
    assert until_title(again, page.title).body == page.body
    this.kept_all(cut)


def test_an_interrupt_from_outside_stops_the_machine_and_leaves_the_screens(
    cable: Any, person: Callable[..., Any], tmp_path: Path
) -> None:
    """No key: a signal, while the screens run. The code is that of a stop by the operator."""
    terminal = Terminal(
        [
            sys.executable,
            "-m",
            "wizard",
            "level",
            PROFILE,
            "--port",
            cable.path,
            "--speed",
            SPEED,
            "--nozzle",
            "brass",
        ],
        {"TRAMWRIGHT_HOME": str(tmp_path)},
    )
    try:
        desk = AtScreen(person(PROFILE, cable.bed.hands), terminal)
        while not cable.bed.blocks:  # not connected yet
            desk.answer(desk.question())
        os.kill(terminal._process.pid, signal.SIGINT)
        assert terminal.ends() == STOPPED
    finally:
        terminal.give_up()
    assert cable.bed.printer.record.stops == 1


def test_an_interrupt_from_outside_leaves_the_first_screen(tmp_path: Path) -> None:
    terminal = Terminal([sys.executable, "-m", "wizard"], {"TRAMWRIGHT_HOME": str(tmp_path)})
    try:
        terminal.until(lambda: "STOP" in terminal.text() or terminal.text().strip())
        os.kill(terminal._process.pid, signal.SIGINT)
        assert terminal.ends() == STOPPED
    finally:
        terminal.give_up()
