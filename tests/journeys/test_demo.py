"""`demo` as it is typed: alone, without a terminal, as JSON, and played by a person."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from typing import Any

import pytest

from profiles.load import load

KEYS = {
    "format",
    "profile",
    "seed",
    "rounds",
    "answers",
    "turns",
    "verdict",
    "worst_deviation_mm",
    "true_worst_deviation_mm",
    "finding",
}
"""What scripts find in the object, by the project's plan; there may be more."""


def demo(*argv: str) -> subprocess.CompletedProcess[str]:
    """Run `demo` with nothing typed and no terminal anywhere."""
    return subprocess.run(
        [sys.executable, "-m", "wizard", "demo", *argv],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
        timeout=100,
        env={name: value for name, value in os.environ.items() if name not in ("DISPLAY", "COLUMNS")},
    )


@pytest.mark.parametrize(("profile", "seed"), [("four-corner-220", 7), ("three-point-225", 14)])
def test_alone_it_prints_one_json_object_and_nothing_else_there(profile: str, seed: int) -> None:
    """Scripts read standard output; the steps go to standard error."""
    ran = demo(profile, "--auto", "--json", "--seed", str(seed), "--speed", "5000")
    told = json.loads(ran.stdout)
    assert ran.returncode == 0
    assert set(told) >= KEYS
    assert (told["format"], told["profile"], told["seed"]) == ("tramwright-run/1", profile, seed)
    assert (told["verdict"], told["finding"]["verdict"]) == ("within", "within")
    assert told["true_worst_deviation_mm"] <= load(profile).first_layer.tolerance_mm
    assert 1 <= told["rounds"] <= 3
    assert told["answers"] > 10
    assert "[simulated]" in ran.stderr


def test_without_a_terminal_it_says_so_and_goes_on_alone() -> None:
    """The first command of the manual does the job wherever it is typed."""
    ran = demo("--speed", "5000")
    assert ran.returncode == 0
    assert "There is no terminal" in ran.stderr
    assert "as with --auto" in ran.stderr
    assert "Result on the SIMULATED printer" in ran.stdout


def test_in_words_it_ends_with_a_table_of_all_points() -> None:
    """The figures of the simulated plate stand beside the measured ones, labelled."""
    ran = demo("--auto", "--speed", "5000")
    _, _, table = ran.stdout.partition("Result on the SIMULATED printer")
    assert ran.returncode == 0
    for point in load("four-corner-220").point:
        assert f"\n  {point.name} " in table
    for row in ("verdict", "worst deviation", "tolerance", "rounds, answers, turns"):
        assert f"\n  {row} " in table
    assert "within, proven" in table
    assert "true (the simulated plate's own)" in table


def test_a_bed_that_no_screw_can_mend_ends_with_1_and_an_honest_verdict() -> None:
    """A bowed plate stays outside, and what it says agrees with the plate's own."""
    ran = demo("--auto", "--json", "--seed", "4", "--start", "bowed", "--speed", "5000")
    told = json.loads(ran.stdout)
    assert ran.returncode == 1
    assert told["verdict"] != "within"
    assert told["true_worst_deviation_mm"] > load("four-corner-220").first_layer.tolerance_mm


@pytest.mark.parametrize(
    "argv", [("no-such-profile", "--auto"), ("--seed", "x"), ("--speed", "0"), ("--start", "odd")]
)
def test_wrong_arguments_leave_with_2_and_a_sentence(argv: tuple[str, ...]) -> None:
    """Nothing is begun, and no traceback is shown."""
    ran = demo(*argv)
    assert ran.returncode == 2
    assert ran.stdout == ""
    assert "Traceback" not in ran.stderr
    assert argv[-1] in ran.stderr or argv[0] in ran.stderr


def test_a_person_plays_it_line_by_line(run: Callable[..., Any], person: Callable[..., Any]) -> None:
    """Hands and answers are typed into the same program; it ends proven."""
    program = run("demo", "--plain", "--seed", "7", "--speed", "5000")
    assert person("four-corner-220", program).do(program) == 0
    assert any("proven by a whole pass" in line for line in program.said)
