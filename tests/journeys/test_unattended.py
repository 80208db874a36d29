"""A recheck that nobody attends: called by a script, it judges, mends what the machine can, and says so."""

from __future__ import annotations

import asyncio
import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from io import StringIO
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from drivers.simulated.abilities import Touch
from profiles.load import shipped
from tests.journeys.terminal import Terminal
from wizard.__main__ import main
from wizard.facts import Facts
from wizard.journal.files import read_lines
from wizard.journal.lines import Header, Looked
from wizard.journal.runs import last_fault
from wizard.journal.writing import reopen, start
from wizard.requests import ByPerson
from wizard.running.assembly import Assembly
from wizard.virtual.job import do_alone

KIND = "nozzle-contact-210"
SPEED = 5000.0


class Told(NamedTuple):
    """What a call left: exit code, the object on standard output (None: nothing there), standard error."""

    code: int
    told: Any
    err: str


@pytest.fixture
def levelled(bed: Callable[..., Any], tmp_path: Path) -> Callable[..., Any]:
    """Serve a simulated printer that was levelled, with the run on record."""

    def make(kind: str = KIND, seed: int = 3, nozzle: str = "") -> Any:
        there = bed(kind, seed)
        machine = there.printer.machine
        header = Header("level", machine, port=there.server.url, nozzle=nozzle)
        journal = start(header, tmp_path / "runs")
        assembly = Assembly(
            facts=Facts(machine, simulated=True), journal=journal, source=there.server.url, speed=SPEED
        )
        done = asyncio.run(do_alone(there.printer, seed, assembly, lambda _: None))
        assert done.outcome.proven
        return there

    return make


def words_of(there: Any, kind: str, more: tuple[str, ...]) -> list[str]:
    url = there.server.url
    return ["recheck", kind, "--port", url, "--unattended", "--json", "--speed", str(SPEED), *more]


@pytest.fixture
def recheck(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[..., Told]:
    """Call it in this process, with nothing to type at."""
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    monkeypatch.setattr(sys, "stdin", StringIO())

    def call(there: Any, kind: str = KIND, *more: str) -> Told:
        capsys.readouterr()
        code = main(words_of(there, kind, more))
        out, err = capsys.readouterr()
        return Told(code, json.loads(out) if out else None, err)

    return call


@pytest.fixture
def script(tmp_path: Path) -> Callable[..., Told]:
    """Call it as a script does: a program of its own, without terminal or input."""

    def call(there: Any, kind: str = KIND, *more: str) -> Told:
        done = subprocess.run(
            [sys.executable, "-m", "wizard", *words_of(there, kind, more)],
            check=False,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            timeout=60,
            env={**os.environ, "TRAMWRIGHT_HOME": str(tmp_path)},
        )
        return Told(done.returncode, json.loads(done.stdout) if done.stdout else None, done.stderr)

    return call


def test_what_is_right_is_left_as_it_is(levelled: Callable[..., Any], script: Callable[..., Told]) -> None:
    """Exit 0, one object, nothing asked, nothing stored, the machine cold and lifted."""
    there = levelled()
    code, told, _ = script(there)
    assert (code, told["verdict"], told["proven"]) == (0, "within", True)
    assert (told["format"], told["simulated"], told["fault"]) == ("tramwright-recheck/1", True, None)
    assert told["stored"]["height_changes_mm"] == []
    assert set(told["touched_mm"]) >= {"front left", "centre"}
    assert 0.0 < told["repeatability_mm"] <= told["repeatability_limit_mm"]
    assert there.worst_mm <= there.tolerance_mm
    assert there.is_cold_and_lifted() == (True, True)


@pytest.mark.parametrize("seed", [1, 2])
def test_another_nozzle_is_mended_by_the_stored_height(
    levelled: Callable[..., Any], recheck: Callable[..., Told], tmp_path: Path, seed: int
) -> None:
    there = levelled()
    with there.printer.lock:
        there.printer.plate.swap_nozzle(seed)
    assert there.worst_mm > there.tolerance_mm
    code, told, _ = recheck(there)
    assert (code, told["proven"]) == (0, True)
    assert told["stored"]["height_changes_mm"]
    assert there.worst_mm <= there.tolerance_mm
    assert there.printer.record.violations == []
    newest = sorted((tmp_path / "runs").glob("*unattended*"))[-1]
    asked = [line.request for line in read_lines(newest) if hasattr(line, "request")]
    assert asked
    assert not any(isinstance(each, ByPerson) for each in asked)


def test_where_a_touch_does_not_feel_the_nozzle_another_one_is_refused_and_the_same_is_named(
    levelled: Callable[..., Any], recheck: Callable[..., Told]
) -> None:
    """Something beside the nozzle touches the same, whichever nozzle is in: it would be called right."""
    kind = "motor-levelled-300"
    there = levelled(kind, nozzle="brass")
    before = len(there.blocks)
    code, told, err = recheck(there, kind, "--nozzle", "long")
    assert (code, told) == (2, None)
    assert "does not feel how long it is" in err
    assert len(there.blocks) == before
    code, told, err = recheck(there, kind, "--nozzle", "brass")
    assert (code, told["feels_nozzle"]) == (0, False)
    assert "(brass): a touch does not feel another one" in err


def test_motors_mend_a_support_that_has_moved(
    levelled: Callable[..., Any], recheck: Callable[..., Told]
) -> None:
    there = levelled("motor-levelled-300")
    with there.printer.lock:
        there.printer.plate.loosen(2)
    assert there.worst_mm > there.tolerance_mm
    code, told, _ = recheck(there, "motor-levelled-300")
    assert (code, told["proven"]) == (0, True)
    assert told["stored"]["motor_turns"]
    assert there.worst_mm <= there.tolerance_mm


def test_what_only_a_hand_can_turn_is_told_and_not_done(
    levelled: Callable[..., Any], recheck: Callable[..., Told], tmp_path: Path
) -> None:
    """Screws, and no compensation in the profile: exit 1, with the turns for the person who comes."""
    profile = tmp_path / "screws.toml"
    profile.write_text(shipped()["touch-probe-255"].read_text().partition("[compensation]")[0])
    there = levelled(str(profile), 4)
    with there.printer.lock:
        there.printer.plate.loosen(2)
    code, told, _ = recheck(there, str(profile))
    assert (code, told["verdict"], told["proven"]) == (1, "outside", False)
    assert told["finding"]["turns"]
    assert told["stored"] == {
        "height_changes_mm": [],
        "height_kept_mm": None,
        "motor_turns": [],
        "compensation": False,
    }


def test_what_only_a_hand_can_turn_is_followed_by_software_where_the_machine_can(
    levelled: Callable[..., Any], recheck: Callable[..., Told]
) -> None:
    there = levelled("touch-probe-255", 4)
    with there.printer.lock:
        there.printer.plate.loosen(2)
    code, told, _ = recheck(there, "touch-probe-255")
    assert (code, told["proven"], told["stored"]["compensation"]) == (0, True, True)
    assert there.worst_mm <= there.tolerance_mm


def test_told_to_end_it_leaves_the_machine_cold_and_lifted(
    levelled: Callable[..., Any], tmp_path: Path
) -> None:
    """A script that gives up sends a signal: exit 130, no fault, so that the next call may start."""
    there = levelled()
    program = subprocess.Popen(
        [sys.executable, "-m", "wizard", *words_of(there, KIND, ())],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        env={**os.environ, "TRAMWRIGHT_HOME": str(tmp_path)},
    )
    with there.at_block("G30", 5, program.terminate):
        assert program.wait(40.0) == 130
    assert there.is_cold_and_lifted() == (True, True)
    assert last_fault(there.printer.machine.name, tmp_path / "runs") is None


def test_plastic_on_the_tip_is_not_judged_by(
    levelled: Callable[..., Any], recheck: Callable[..., Told]
) -> None:
    there = levelled()
    touch = next(a for a in there.printer.firmware.interpreter.abilities if isinstance(a, Touch))
    touch.plastic_mm = 0.2
    code, told, err = recheck(there)
    assert (code, told["verdict"], told["finding"]) == (1, "undecided", None)
    assert told["repeatability_mm"] > told["repeatability_limit_mm"]
    assert "plastic on the tip" in err
    assert told["stored"]["height_changes_mm"] == []
    assert there.is_cold_and_lifted() == (True, True)


def test_after_a_fault_nothing_moves_before_a_person_has_looked(
    levelled: Callable[..., Any], recheck: Callable[..., Told], tmp_path: Path
) -> None:
    """Exit 3 until it is said at a terminal; a script cannot say it."""
    there = levelled()
    touch = next(a for a in there.printer.firmware.interpreter.abilities if isinstance(a, Touch))
    contact, touch._contact_mm = touch._contact_mm, lambda x, y: -9.0
    code, told, _ = recheck(there)
    assert (code, told["fault"]["kind"], told["proven"]) == (3, "PrinterFault", False)
    assert there.is_cold_and_lifted() == (True, True)
    touch._contact_mm = contact
    before = len(there.blocks)
    code, told, err = recheck(there)
    assert (code, "before a person has looked" in told["fault"]["text"]) == (3, True)
    assert "--looked" in err
    assert len(there.blocks) == before
    code, told, err = recheck(there, KIND, "--looked")
    assert (code, told) == (2, None)
    assert "not by a script" in err
    assert _says_looked("no", tmp_path) == 130
    assert last_fault(there.printer.machine.name, tmp_path / "runs") is not None
    assert _says_looked("looked", tmp_path) == 0
    assert recheck(there).code == 0


def _says_looked(word: str, home: Path) -> int:
    words = (sys.executable, "-m", "wizard", "recheck", KIND, "--looked")
    terminal = Terminal(words, {"TRAMWRIGHT_HOME": str(home)})
    terminal.until(lambda: "leaves it as it is" in terminal.text())
    terminal.type(word + "\r")
    return terminal.ends()


def test_after_a_job_that_was_killed_nothing_moves_before_a_person_has_looked(
    levelled: Callable[..., Any],
    level: Callable[..., Any],
    recheck: Callable[..., Told],
    tmp_path: Path,
) -> None:
    """Killed while it was hot, it could tell neither the machine nor its record: the heaters are still on."""
    there = levelled()
    program = level(there, KIND)
    with there.at_block("G28", 1, lambda: program.signal(signal.SIGKILL)):
        while (page := program.question()) is not None:
            program.type(next(iter(page.keys)))
    assert program.ends() == -signal.SIGKILL
    assert there.is_cold_and_lifted()[0] is False
    before = len(there.blocks)
    code, told, err = recheck(there)
    assert (code, told["fault"]["kind"], told["proven"]) == (3, "PrinterFault", False)
    assert "was cut off without a word" in told["fault"]["text"]
    assert "Heaters may be on" in told["fault"]["text"]
    assert "--looked" in err
    assert len(there.blocks) == before
    assert _says_looked("looked", tmp_path) == 0
    assert recheck(there).code == 0


def test_a_look_is_on_record(tmp_path: Path, levelled: Callable[..., Any]) -> None:
    there = levelled()
    path = next((tmp_path / "runs").glob("*.jsonl"))
    journal = reopen(path)
    journal.broke("the line is gone", fault=True)
    journal.close()
    assert last_fault(there.printer.machine.name, tmp_path / "runs") is not None
    assert _says_looked("looked", tmp_path) == 0
    assert isinstance(read_lines(path)[-1], Looked)


@pytest.mark.parametrize(
    ("kind", "more", "why"),
    [
        ("three-point-225", (), "no probe"),
        (KIND, ("--plain",), "exclude each other"),
        (KIND, ("--hand",), "exclude each other"),
        (KIND, (), "no proven run"),
    ],
)
def test_what_cannot_be_unattended_is_refused(
    bed: Callable[..., Any], recheck: Callable[..., Told], kind: str, more: tuple[str, ...], why: str
) -> None:
    there = bed(kind, 1)
    code, told, err = recheck(there, kind, *more)
    assert (code, told) == (2, None)
    assert why in err
    assert there.blocks == []
