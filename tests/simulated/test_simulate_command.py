"""`tramwright simulate` in a process of its own, and the hand that it lends."""

from __future__ import annotations

import re
import signal
import subprocess
import sys

import pytest
import serial

from drivers.simulated import SimulatedPrinter
from drivers.simulated.operator import STEADY, Operator
from wizard.__main__ import main
from wizard.commands.virtual_bench import VirtualBench

PROFILE = "four-corner-220"


@pytest.fixture
def simulate():
    """Return what starts the command; all that were started are ended."""
    started = []

    def start(*arguments, stdin=subprocess.PIPE):
        command = [sys.executable, "-m", "wizard", "simulate", PROFILE, *arguments]
        process = subprocess.Popen(command, stdin=stdin, stdout=subprocess.PIPE, text=True)
        started.append(process)
        return process, process.stdout.readline()

    yield start
    for process in started:
        process.kill()
        process.communicate()


def asked(url, block):
    with serial.serial_for_url(url, baudrate=115200, timeout=20) as port:
        port.write(block)
        return port.readline()


def url_in(line):
    return line.split()[-1]


@pytest.mark.parametrize(
    "where", [["--pty"], ["--listen", "127.0.0.1:0"], []], ids=["pty", "listen", "default"]
)
def test_it_prints_where_it_serves_labelled_as_simulated_and_serves_there(simulate, where):
    process, line = simulate("--speed", "100", *where)
    assert line.startswith("SIMULATED printer")
    assert re.search(r"--port (/dev/\S+|socket://127\.0\.0\.1:\d+)$", line.strip())
    assert b"ok T:22.0" in asked(url_in(line), b"\nM105\n") + asked(url_in(line), b"M105\n")
    told, _ = process.communicate("leaf 0.15\nquit\n", timeout=30)
    assert told == "0.15 mm leaf: slides\n"
    assert process.returncode == 0


def test_without_a_terminal_the_end_of_input_ends_nothing(simulate):
    process, line = simulate(stdin=subprocess.DEVNULL)
    assert b"ok" in asked(url_in(line), b"M110 N0\n") + asked(url_in(line), b"M105\n")
    assert process.poll() is None


def test_an_interrupt_ends_it_as_stopped_by_the_operator(simulate):
    process, line = simulate()
    asked(url_in(line), b"M105\n")
    process.send_signal(signal.SIGINT)
    assert process.wait(30) == 130


@pytest.mark.parametrize(
    ("arguments", "why"),
    [
        (["--listen", "here"], "give HOST:PORT"),
        (["--listen", ":80"], "give HOST:PORT"),
        (["--listen", "127.0.0.1:99999"], "give HOST:PORT"),
        (["--listen", "127.0.0.1:x"], "give HOST:PORT"),
        (["--listen", "192.0.2.1:7070"], "assign"),
    ],
)
def test_a_place_to_listen_that_cannot_be_is_refused_with_why(arguments, why, capsys):
    assert main(["simulate", PROFILE, *arguments]) == 2
    assert why in capsys.readouterr().err


@pytest.mark.parametrize(
    "arguments",
    [
        ["--seed", "-1"],
        ["--seed", "x"],
        ["--speed", "0"],
        ["--speed", "nan"],
        ["--speed", "x"],
        ["--pty", "--listen", "127.0.0.1:0"],
        ["--start", "odd"],
    ],
)
def test_wrong_arguments_are_refused(arguments, capsys):
    with pytest.raises(SystemExit) as left:
        main(["simulate", PROFILE, *arguments])
    assert left.value.code == 2
    assert "error: argument" in capsys.readouterr().err


@pytest.fixture
def printer(machine):
    printer = SimulatedPrinter(machine, 1)
    printer.firmware.receive(b"G28\nG0 Z5\nG0 X30 Y30\nG1 Z0.2 F60\n", 0.0)
    printer.let_pass(60.0)
    return printer


@pytest.fixture
def bench(printer):
    return VirtualBench(printer, Operator(printer, 1, STEADY))


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("leaf 0.15", "0.15 mm leaf: slides"),
        ("LEAF 0,5 mm", "0.5 mm leaf: will not enter"),
        ("card", "0.1 mm card: free"),
        ("card 0.3", "0.3 mm card: tight"),
        ("daylight 0.76", "does not pass"),
        ("turn front left 1/4", "front left: turned about +0.25"),
        ("turn Back Right -90 deg", "back right: turned about -0.25"),
        ("turn front left 9", "front left: turned about +4, then it went hard to its end"),
        ("raise 0.05", "nozzle height changed by +0.05 mm"),
        ("raise -0.02", "nozzle height changed by -0.02 mm"),
        ("reset", "reset"),
        ("", ""),
    ],
)
def test_a_typed_line_does_what_a_hand_would(bench, typed, found):
    assert bench.answer(typed) == found


@pytest.mark.parametrize(
    "typed",
    [
        "leaf",
        "leaf x",
        "leaf -1",
        "leaf nan",
        "leaf 1e9",
        "turn",
        "turn roof 1/4",
        "turn front left",
        "turn front left 1/0",
        "dance",
        "daylight",
        "raise a lot",
    ],
)
def test_what_cannot_be_done_gets_one_sentence_and_changes_nothing(bench, printer, typed):
    before = printer.plate.true_gaps(printer.machine, 0.2)
    told = bench.answer(typed)
    assert told.endswith(".")
    assert "\n" not in told
    assert printer.plate.true_gaps(printer.machine, 0.2) == before


def test_state_tells_what_can_be_seen_and_no_gap(bench, printer):
    assert bench.answer("state") == "nozzle at about X30.0 Y30.0 Z0.20, homed\nT:22.0 /0.0 B:22.0 /0.0"
    bench.answer("turn front left -2")
    assert "met the plate 1 times" in bench.answer("state")


def test_reveal_tells_the_truth_and_only_reveal_does(bench, printer):
    truth = printer.plate.true_gaps(printer.machine, 0.2)["centre"]
    assert f"centre: {truth:.3f} mm" in bench.answer("reveal")


def test_help_names_every_word(bench):
    for word in ("leaf", "card", "daylight", "turn", "raise", "state", "reset", "reveal", "quit"):
        assert word in bench.answer("help")


def test_without_a_card_in_the_profile_its_thickness_is_asked_for(make_machine):
    from profiles.machine import Gauge

    printer = SimulatedPrinter(make_machine(gauge=Gauge(leaves_mm=(0.1,))), 1)
    assert VirtualBench(printer, Operator(printer, 1)).answer("card").endswith("such as card 0.1.")


@pytest.mark.parametrize(
    ("line", "told"), [("leaf 0.15", "0.15 mm leaf: slides"), ("0.15", None), ("free", None)]
)
def test_beside_a_job_only_lines_for_a_hand_are_answered(bench, line, told):
    assert bench.aside(line) == told
