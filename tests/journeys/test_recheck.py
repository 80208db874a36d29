"""A bed is levelled; another nozzle is put in; a recheck in a program of its own finds and mends it."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest

WAYS_ON = ("set the nozzle height now", "level the bed now")
"""What is chosen where it is offered: where setting the height proves nothing, levelling does."""


@pytest.mark.parametrize(("profile", "gauge"), [("three-point-225", "leaves"), ("stored-offset-140", "card")])
def test_a_nozzle_swap_is_mended_by_a_few_readings_and_both_runs_are_on_record(
    run: Callable[..., Any],
    bed: Callable[..., Any],
    level: Callable[..., Any],
    person: Callable[..., Any],
    profile: str,
    gauge: str,
) -> None:
    """What the recheck compares with it reads from the records that `level` has left."""
    served = bed(profile, 3, "level")
    hands = person(profile, served.hands, gauge)
    assert hands.do(level(served, profile, "--nozzle", "brass")) == 0
    with served.printer.lock:
        served.printer.plate.swap_nozzle(1)
    assert served.worst_mm > served.tolerance_mm
    job = run(
        "recheck", profile, "--port", served.server.url, "--plain", "--speed", 5000.0, "--nozzle", "steel"
    )
    while (page := job.question()) is not None:
        job.type(next(filter(None, map(page.key, WAYS_ON)), None) or hands.answer(page))
    assert job.ends() == 0
    assert any("Only the height moved, by" in line for line in job.said)
    assert served.worst_mm <= served.tolerance_mm
    assert served.printer.record.violations == []
    assert served.is_cold_and_lifted() == (True, True)
    listed = run("history", "--json")
    runs = json.loads("\n".join(_all_lines(listed)))["runs"]
    told = [(each["procedure"], each["nozzle"], each["status"], each["simulated"]) for each in runs]
    assert told == [("recheck", "steel", "proven", True), ("level", "brass", "proven", True)]


def _all_lines(program: Any) -> list[str]:
    lines = []
    while (line := program.line()) is not None:
        lines.append(line)
    return lines
