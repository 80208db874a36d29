"""`tramwright recheck` and `demo --recheck`: whole commands, and what they refuse."""

from __future__ import annotations

import io
import json
from pathlib import Path

import msgspec
import pytest

from profiles.load import load, shipped
from profiles.machine import Point
from wizard.__main__ import main
from wizard.base import Base
from wizard.journal.lines import Header
from wizard.journal.writing import reopen, start
from wizard.records.filing import open_records
from wizard.requests import Confirm, Confirmed, Outcome, ReadingTaken, TakeReading
from wizard.rounds import Reading, Round
from wizard.solver.finding import Finding, PointFinding

MACHINE = load("three-point-225")


def proven_before(folder: Path, tolerance_mm: float = 0.05, **more: object) -> None:
    """Leave the record of a proven run."""
    layer = msgspec.structs.replace(MACHINE.first_layer, tolerance_mm=tolerance_mm)
    machine = msgspec.structs.replace(MACHINE, first_layer=layer, **more)
    journal = start(Header("level", machine), folder / "runs")
    for n, point in enumerate(machine.point, 1):
        reading = ReadingTaken(Reading(0.14, 0.16, "feel"))
        journal.append(TakeReading(point.name, 0.2, 1, n, 5, "verify"), reading)
    points = {point.name: PointFinding(0.15, 0.007, 0.0, 0.15) for point in machine.point}
    journal.finish(Outcome(Finding("within", "level", points=points), 1, True))
    journal.close()


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    monkeypatch.setattr("sys.stdin", io.StringIO("stop\n"))
    return tmp_path


def test_without_a_proven_run_it_says_what_to_do(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["recheck", "three-point-225", "--port", "socket://127.0.0.1:9", "--plain"]) == 2
    assert "nothing to compare with; use tramwright level" in capsys.readouterr().err
    assert not (home / "runs").exists()


def test_a_description_that_measures_other_gaps_is_refused(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    proven_before(home, point=(*MACHINE.point, Point(name="by the door", at_mm=(60.0, 60.0))))
    assert main(["recheck", "three-point-225", "--port", "socket://127.0.0.1:9", "--plain"]) == 2
    assert "has changed since its last proven run" in capsys.readouterr().err


def test_another_tolerance_is_no_other_bed_and_a_stopped_recheck_is_on_record(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    proven_before(home, tolerance_mm=0.08)
    argv = ["recheck", "three-point-225", "--hand", "--plain", "--nozzle", "steel"]
    assert main(argv) == 130
    with open_records().store as store:
        newest, before = store.runs()
        whole = store.whole(newest.id)
    assert (newest.procedure, newest.status, newest.nozzle) == ("recheck", "not ended", "steel")
    assert whole.header.base is not None
    assert whole.header.base.run == before.id
    assert whole.header.base.rounds[0].readings["centre"] == Reading(0.14, 0.16, "feel")


def test_the_plate_is_held_against_the_last_run_that_read_it_whole(home: Path) -> None:
    """A recheck before has read a few points: what it let pass unseen must not become what is right."""
    proven_before(home)
    with open_records().store as store:
        (level,) = store.runs()
    before = Base(level.id, level.ended, 3.0, (Round(dict.fromkeys(["centre"], Reading(0.14, 0.16))),))
    journal = start(Header("recheck", MACHINE, base=before, nozzle="brass"), home / "runs")
    journal.append(TakeReading("centre", 0.2, 1, 1, 3, "first"), ReadingTaken(Reading(0.17, 0.19, "feel")))
    points = {point.name: PointFinding(0.17, 0.009, 0.02, 0.17) for point in MACHINE.point}
    journal.finish(Outcome(Finding("within", "level", points=points), 1, True))
    journal.close()
    assert main(["recheck", "three-point-225", "--hand", "--plain", "--nozzle", "steel"]) == 130
    with open_records().store as store:
        base = store.whole(store.runs()[0].id).header.base
    assert base is not None
    assert base.run == level.id
    assert base.nozzle == "brass"


@pytest.mark.parametrize("name", ["stored-offset-140", "three-point-225", "four-corner-220"])
def test_a_simulated_nozzle_swap_is_found_set_and_proven(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert name in shipped()
    code = main(["demo", name, "--recheck", "nozzle", "--json", "--seed", "1"])
    told = capsys.readouterr()
    result = json.loads(told.out)
    assert (code, result["verdict"], result["proven"]) == (0, "within", True)
    assert result["true_worst_deviation_mm"] <= 0.05
    assert "Only the height moved" in told.err
    assert "SIMULATED" in told.err
    assert "point 3 of 3, round 1" in told.err
    assert "of 4, round 1" not in told.err


def test_a_simulated_adjuster_that_came_loose_leads_to_levelling(capsys: pytest.CaptureFixture[str]) -> None:
    code = main(["demo", "three-point-225", "--recheck", "drift", "--json", "--seed", "2"])
    told = capsys.readouterr()
    assert code == 0
    assert "The plate has moved." in told.err
    assert json.loads(told.out)["true_worst_deviation_mm"] <= 0.05


def test_an_unfinished_recheck_is_taken_up_again_with_its_base(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The last proven run may be another by then: what it began with is what it goes on with."""
    argv = ["recheck", "three-point-225", "--hand", "--plain", "--resume"]
    assert main(argv) == 2
    assert "no unfinished recheck" in capsys.readouterr().err
    base = Base("gone", "2026-01-01T00:00:00+00:00", 3.0, (Round({"centre": Reading(0.14, 0.16)}),))
    journal = start(Header("recheck", MACHINE, by_hand=True, base=base), home / "runs")
    journal.append(Confirm("cautions"), Confirmed())
    journal.close()
    assert main(argv) == 130
    assert journal.path is not None
    again = reopen(journal.path)
    again.close()
    assert again.header.base == base
    assert len(again.record.steps) == 1
    assert len(list((home / "runs").iterdir())) == 1
