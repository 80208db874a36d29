"""The simulated printer in a program of its own, the job in another, a person between them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from profiles.load import load


@pytest.mark.parametrize(
    ("profile", "where", "gauge"),
    [
        ("four-corner-220", ("--pty",), "card"),
        ("three-point-225", ("--listen", "127.0.0.1:0"), "leaves"),
    ],
)
def test_a_whole_job_over_the_line_is_proven_true_and_harmless(
    run: Callable[..., Any],
    person: Callable[..., Any],
    profile: str,
    where: tuple[str, ...],
    gauge: str,
) -> None:
    """Readings are taken by the hands of the one program and typed into the other."""
    machine = run("simulate", profile, *where, "--seed", 7, "--speed", 5000)
    port = machine.until("SIMULATED printer").rpartition("--port ")[2]
    assert port.startswith("socket://127.0.0.1:" if where[0] == "--listen" else "/dev/")
    job = run("level", profile, "--port", port, "--plain", "--speed", 5000)
    assert person(profile, machine, gauge).do(job) == 0
    assert any("proven by a whole pass" in line for line in job.said)
    machine.type("record")
    machine.type("reveal")
    assert machine.line() == "nothing recorded"
    worst_mm = float(machine.until("worst deviation").split()[-2])
    assert worst_mm <= load(profile).first_layer.tolerance_mm
    machine.type("quit")
    assert machine.ends() == 0
