"""A report of a run that was checked by a print."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from profiles.load import load
from wizard.journal.lines import Header
from wizard.journal.writing import start
from wizard.requests import (
    Checks,
    Confirmed,
    Connect,
    Connected,
    JudgePad,
    Outcome,
    PadMeasured,
    ReadingTaken,
    ShowResult,
    TakeReading,
)
from wizard.rounds import Reading
from wizard.solver.finding import Finding, PointFinding

MACHINE = load("four-corner-220")


@pytest.fixture
def printed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A data folder with one run that ended with a print."""
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    points = {point.name: PointFinding(0.15, 0.008, 0.0, 0.15) for point in MACHINE.point}
    finding = Finding("within", "level", points=points)
    journal = start(Header("level", MACHINE, port="line"), tmp_path / "runs")
    journal.append(Connect(), Connected("line"))
    for nth, point in enumerate(MACHINE.point, 1):
        asked = TakeReading(point.name, 0.2, 1, nth, 5, "first")
        journal.append(asked, ReadingTaken(Reading(0.1, 0.2, "leaf")))
    for nth, point in enumerate(MACHINE.point, 1):
        journal.append(JudgePad(point.name, "caliper", 2, nth, 5), PadMeasured(0.16))
    checks = Checks(5, True, False, "within", 5)
    journal.append(ShowResult(finding, 2, True, checks), Confirmed())
    journal.finish(Outcome(finding, 2, True))
    journal.close()


def test_the_three_checks_are_in_the_report(printed: None, run: Callable[..., Any], tmp_path: Path) -> None:
    assert run("report", "last", "-o", tmp_path / "bed.txt").code == 0
    text = (tmp_path / "bed.txt").read_text("utf-8")
    assert "Gauge: five points, two rounds." in text
    assert "Proving pass: every point within, nothing turned since." in text
    assert "Print: five pads, every gap within." in text


def test_pads_are_among_the_readings_of_a_run(printed: None, run: Callable[..., Any]) -> None:
    assert run("history", "list").code == 0
    told = run("history", "show", "last")
    assert told.code == 0
    assert told.out.count("pad: caliper, 0.16 mm") == len(MACHINE.point)
