"""`tramwright simulate` in a process of its own."""

from __future__ import annotations

import re
import signal
import subprocess
import sys

import pytest
import serial

from wizard.__main__ import main

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
