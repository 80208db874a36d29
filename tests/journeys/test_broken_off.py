"""A job that is broken off: by a signal, by typing, by the line. The machine is safe, the job goes on."""

from __future__ import annotations

import signal
from collections.abc import Callable
from functools import partial
from typing import Any

import pytest

from drivers.simulated.serve import TcpServer

PROFILE = "four-corner-220"
STOPPED = 130


def until_reading(person: Any, program: Any) -> Any:
    """Answer until a gap is to be read by leaf for the second time; the nozzle stands low then."""
    seen = 0
    while (page := program.question()) is not None:
        seen += "leaf" in page.title
        if seen == 2:
            return page
        program.type(person.answer(page))
    return pytest.fail(f"no reading was asked for: {program.said[-10:]}")


def until_title(program: Any, title: str) -> Any:
    """Read on to the question of that title."""
    while (page := program.question()) is not None:
        if page.title == title:
            return page
    return pytest.fail(f"{title!r} was never asked: {program.said[-10:]}")


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_an_order_to_end_leaves_the_machine_lifted_and_its_heaters_off(
    job: Callable[..., Any], person: Callable[..., Any], number: signal.Signals
) -> None:
    """As when the terminal is closed, or the computer shut down, in mid-round."""
    this = job(PROFILE, 7)
    somebody = person(PROFILE, this.bed.hands)
    program = this.taken_up(None)
    page = until_reading(somebody, program)
    assert this.bed.is_cold_and_lifted() == (False, False)
    program.signal(number)
    assert program.ends() == STOPPED
    assert this.bed.is_cold_and_lifted() == (True, True)
    assert this.bed.printer.record.stops == 0
    cut = this.stands()
    again = this.taken_up(cut)
    again.type("y")
    assert until_title(again, page.title).body == page.body
    this.kept_all(cut)
    assert this.stands().pending == cut.pending


def test_typed_words_that_end_leave_the_machine_lifted_and_its_heaters_off(
    job: Callable[..., Any], person: Callable[..., Any]
) -> None:
    """Whoever fed the lines is gone: nobody is left to answer."""
    this = job(PROFILE, 7)
    program = this.taken_up(None)
    until_reading(person(PROFILE, this.bed.hands), program)
    program.close_typing()
    assert program.ends() == STOPPED
    assert this.bed.is_cold_and_lifted() == (True, True)


def test_an_order_to_end_in_the_midst_of_a_move_lets_the_move_end_and_lifts(
    job: Callable[..., Any], person: Callable[..., Any]
) -> None:
    """The seventh move is on the way down; an interrupt from the keyboard instead stops at once."""
    for number, stops in ((signal.SIGTERM, 0), (signal.SIGINT, 1)):
        this = job(PROFILE, 7)
        program = this.taken_up(None)
        with this.bed.at_block("G1", 7, partial(program.signal, number)):
            assert person(PROFILE, this.bed.hands).do(program) == STOPPED
        assert this.bed.printer.record.stops == stops
        assert this.bed.is_cold_and_lifted() == (True, not stops)


def test_stop_reaches_the_machine_at_once_and_the_job_can_be_taken_up(
    job: Callable[..., Any], person: Callable[..., Any]
) -> None:
    """The stop block was seen, heaters are off; `--resume` leads to the proven end."""
    this = job(PROFILE, 7)
    somebody = person(PROFILE, this.bed.hands)
    program = this.taken_up(None)
    until_reading(somebody, program)
    program.type("stop")
    assert program.ends() == STOPPED
    assert any(line.startswith("Stopped.") for line in program.said)
    assert this.bed.printer.record.stops == 1
    assert this.bed.is_cold_and_lifted()[0]
    cut = this.stands()
    program = this.taken_up(cut)
    assert somebody.do(program) == 0
    this.kept_all(cut)
    this.ended_well(program)


def test_a_machine_that_resets_itself_is_a_fault_that_retry_leads_out_of(
    job: Callable[..., Any], person: Callable[..., Any]
) -> None:
    """On a pseudo-terminal, as by the reset button in mid-round; nothing moves before it is homed anew."""
    this = job(PROFILE, 7)
    somebody = person(PROFILE, this.bed.hands)
    program = this.taken_up(None)
    page = until_reading(somebody, program)
    with this.bed.printer.lock:
        this.bed.printer.firmware.restart()
    program.type(somebody.answer(page))
    before = len(this.bed.blocks)
    fault = until_title(program, "The machine reports a fault.")
    assert "restarted" in fault.body
    program.type("retry")
    assert somebody.do(program) == 0
    moved = [code for code in this.bed.blocks[before:] if code in ("G0", "G1", "G28")]
    assert moved[0] == "G28"
    this.ended_well(program)


def test_a_line_that_goes_away_is_told_and_taken_up_when_it_is_back(
    bed: Callable[..., Any], level: Callable[..., Any], person: Callable[..., Any]
) -> None:
    """Over a socket: retry tells again that nobody answers, until the server is there on the same port."""
    there = bed(PROFILE, 7, tcp=True)
    somebody = person(PROFILE, there.hands)
    program = level(there, PROFILE)
    page = until_reading(somebody, program)
    there.server.close()
    program.type(somebody.answer(page))
    assert "gone" in until_title(program, "The line to the machine is lost.").body
    program.type("retry")
    program.type(next(iter(program.question().keys)))
    assert "cannot be opened" in until_title(program, "The line to the machine is lost.").body
    host, _, port = there.server.url.removeprefix("socket://").rpartition(":")
    with TcpServer(there.printer, host, int(port)):
        program.type("retry")
        assert somebody.do(program) == 0
    assert there.worst_mm <= there.tolerance_mm
    assert there.printer.record.violations == []


def test_where_nobody_answers_at_the_port_the_job_waits_and_stop_ends_it(run: Callable[..., Any]) -> None:
    """A wrong port is a fault with a sentence, not a traceback."""
    program = run("level", PROFILE, "--plain", "--port", "/dev/no-such-port")
    for _ in range(4):
        program.type(next(iter(program.question().keys)))
    fault = until_title(program, "The line to the machine is lost.")
    assert "/dev/no-such-port cannot be opened" in fault.body
    program.type("stop")
    assert program.ends() == STOPPED
    assert not any("Traceback" in line for line in program.said)
