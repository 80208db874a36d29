"""The records' file: what is put in is found again, and what is wrong with the file is said in a sentence."""

from __future__ import annotations

import os
import sqlite3
import stat
import subprocess
import sys
from pathlib import Path

import msgspec
import pytest

from profiles.load import load
from wizard.__main__ import main
from wizard.journal.lines import Header
from wizard.journal.writing import start
from wizard.records import schema
from wizard.records.filing import Records, open_records
from wizard.records.rescue import write_elsewhere
from wizard.records.run import Run
from wizard.records.store import RecordsError, Store
from wizard.requests import (
    Confirm,
    Confirmed,
    Connect,
    Connected,
    Lift,
    Outcome,
    ReadingTaken,
    TakeReading,
    Turn,
    Turned,
)
from wizard.rounds import Reading
from wizard.solver.finding import Finding, PointFinding

MACHINE = load("four-corner-220")
FINDING = Finding("within", "level", points={"centre": PointFinding(0.16, 0.008, 0.01, 0.16)})


def journalled(folder: Path, created: str = "", *, ended: bool = True, nozzle: str = "") -> Path:
    """Write a small run's journal."""
    header = Header("level", MACHINE, port="/dev/secret", created=created, nozzle=nozzle, nozzle_mm=0.4)
    journal = start(header, folder)
    journal.append(Confirm("cautions"), Confirmed())
    journal.append(Connect(), Connected("x", {"kind": "made up"}, simulated=True))
    journal.append(TakeReading("centre", 0.2, 1, 1, 5, "first"), ReadingTaken(Reading(0.15, 0.2, "leaf")))
    journal.append(Lift(), Confirmed())
    journal.append(Turn({"front left": 0.25}, 1, False, FINDING), Turned({"front left": 0.25}))
    if ended:
        journal.finish(Outcome(FINDING, 1, True))
    journal.close()
    assert journal.path is not None
    return journal.path


def opened(folder: Path) -> Records:
    return open_records(folder / "records.sqlite", folder / "runs")


def test_a_run_is_found_again_with_all_that_was_answered(tmp_path: Path) -> None:
    journalled(tmp_path / "runs", nozzle="brass")
    with opened(tmp_path).store as store:
        (run,) = store.runs()
        whole = store.whole(run.id[:5])
    assert (run.status, run.verdict, run.nozzle, run.nozzle_mm) == ("proven", "within", "brass", 0.4)
    assert run.identity == {"kind": "made up"}
    assert run.simulated
    assert whole.rounds[0].readings == {"centre": Reading(0.15, 0.2, "leaf")}
    assert whole.rounds[0].turned == {"front left": 0.25}
    assert whole.header.profile == MACHINE


def test_what_a_later_version_has_written_is_told_and_hides_no_other_run(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Fetched from another host, say, whose program knows of more."""
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    journalled(tmp_path / "runs")
    with opened(tmp_path).store as store:
        (run,) = store.runs()
    with sqlite3.connect(tmp_path / "records.sqlite") as file:
        file.execute("UPDATE line SET json = ? WHERE n = 1", ('{"line":"dream"}',))
    file.close()
    assert main(["history", "show", run.id]) == 2
    assert f"run {run.id}: holds what this version of the program cannot read" in capsys.readouterr().err
    assert main(["history"]) == 0


def test_a_folder_of_journals_that_cannot_be_read_is_told(tmp_path: Path) -> None:
    """It is not taken for one without runs."""
    (tmp_path / "runs").write_text("a file where the folder should be")
    assert "the journals cannot be read" in opened(tmp_path).troubles[0]


def test_of_two_journals_of_one_run_the_one_that_tells_more_stays(tmp_path: Path) -> None:
    """A disk that was full has left one that is torn; the other was written elsewhere and brought back."""
    path = journalled(tmp_path / "runs")
    lines = path.read_bytes().splitlines(keepends=True)
    for before in ("2026-a", "2036-a"):  # filed before the whole one, and after it
        torn = path.with_name(f"{before}-level.jsonl")
        torn.write_bytes(b"".join(lines[:3]))
        for _ in range(3):
            with opened(tmp_path).store as store:
                assert [run.status for run in store.runs()] == ["proven"]
        torn.unlink()


def test_a_run_under_way_is_filed_as_broken_off_and_again_once_it_has_ended(tmp_path: Path) -> None:
    path = journalled(tmp_path / "runs", ended=False)
    with opened(tmp_path).store as store:
        assert [run.status for run in store.runs()] == ["not ended"]
    whole = path.read_bytes() + b'{"line":"end","outcome":{"finding":null,"rounds":1,"proven":false}}\n'
    path.write_bytes(whole)
    with opened(tmp_path).store as store:
        assert [run.status for run in store.runs()] == ["not proven"]


def test_rows_for_sql_hold_readings_turns_and_last_gaps(tmp_path: Path) -> None:
    journalled(tmp_path / "runs")
    opened(tmp_path).store.close()
    with sqlite3.connect(tmp_path / "records.sqlite") as file:
        assert file.execute("SELECT point, z_mm, low_mm, high_mm, how FROM reading").fetchall() == [
            ("centre", 0.2, 0.15, 0.2, "leaf")
        ]
        assert file.execute("SELECT what, turns FROM change").fetchall() == [("front left", 0.25)]
        assert file.execute("SELECT point, gap_mm, u_mm FROM gap").fetchall() == [("centre", 0.16, 0.008)]


@pytest.mark.parametrize("version", range(schema.VERSION))
def test_a_file_of_every_earlier_version_is_brought_forward(tmp_path: Path, version: int) -> None:
    path = tmp_path / "records.sqlite"
    with sqlite3.connect(path) as old:
        for step in schema.STEPS[:version]:
            old.executescript(step)
        old.execute(f"PRAGMA user_version = {version}")
        if version:
            told = msgspec.json.encode(Run("abc", "level", "m", "2026", "2026", "proven")).decode()
            row = ("abc", "level", "m", "2026", "2026", "proven", told, "gone.jsonl", 9)
            old.execute("INSERT INTO run VALUES (?,?,?,?,?,?,?,?,?)", row)
            line = msgspec.json.encode(Header("level", MACHINE)).decode()
            old.execute("INSERT INTO line VALUES ('abc', 0, ?)", (line,))
    old.close()
    journalled(tmp_path / "runs")
    with opened(tmp_path).store as store:
        assert len(store.runs()) == (2 if version else 1)
        assert not version or store.whole("abc").header.profile == MACHINE
    with sqlite3.connect(path) as now:
        assert now.execute("PRAGMA user_version").fetchone() == (schema.VERSION,)
        assert now.execute("PRAGMA foreign_key_check").fetchall() == []


def test_a_file_of_a_later_version_is_left_alone_and_runs_are_listed_all_the_same(tmp_path: Path) -> None:
    journalled(tmp_path / "runs")
    with sqlite3.connect(tmp_path / "records.sqlite") as file:
        file.execute(f"PRAGMA user_version = {schema.VERSION + 1}")
    before = (tmp_path / "records.sqlite").read_bytes()
    records = opened(tmp_path)
    assert "later version" in records.troubles[0]
    assert len(records.store.runs()) == 1
    assert (tmp_path / "records.sqlite").read_bytes() == before


def test_a_file_that_is_none_gets_a_sentence_and_runs_are_listed_from_their_journals(tmp_path: Path) -> None:
    journalled(tmp_path / "runs")
    (tmp_path / "records.sqlite").write_bytes(b"not records at all" * 400)
    records = opened(tmp_path)
    assert "not a whole file of records" in records.troubles[0]
    assert str(tmp_path) in records.troubles[0]
    assert len(records.store.runs()) == 1


def test_a_place_that_cannot_be_written_gets_a_sentence(tmp_path: Path) -> None:
    journalled(tmp_path / "runs")
    (tmp_path / "taken").write_text("a file where a folder should be")
    records = open_records(tmp_path / "taken" / "records.sqlite", tmp_path / "runs")
    assert "cannot be written" in records.troubles[0]
    assert len(records.store.runs()) == 1


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full")
def test_a_full_disk_gets_a_sentence_and_takes_nothing_along(tmp_path: Path) -> None:
    path = tmp_path / "records.sqlite"
    with Store(path) as store:
        store._connection.execute("PRAGMA max_page_count = 12")  # SQLite's own way to a full disk
        header = Header("level", MACHINE, remark="long " * 9000)
        with pytest.raises(RecordsError, match="disk is full; make room"):
            store.put("a.jsonl", 1, [header])
        assert store.runs() == []
    with Store(path) as store:
        store.put("a.jsonl", 1, [header])
        assert len(store.runs()) == 1


def test_a_journal_that_cannot_be_read_is_told_of_and_the_others_are_filed(tmp_path: Path) -> None:
    journalled(tmp_path / "runs")
    (tmp_path / "runs" / "spoilt.jsonl").write_text("{}\n")
    records = opened(tmp_path)
    assert "spoilt.jsonl" in records.troubles[0]
    assert len(records.store.runs()) == 1


def test_two_programs_filing_at_once_file_every_run_once(tmp_path: Path) -> None:
    for number in range(12):
        journalled(tmp_path / "runs", created=f"2026-01-01T00:00:{number:02d}.000000+00:00")
    code = "from wizard.records.filing import file_quietly; print(repr(file_quietly()))"
    surroundings = {**os.environ, "TRAMWRIGHT_HOME": str(tmp_path)}
    each = [
        subprocess.Popen([sys.executable, "-c", code], env=surroundings, stdout=subprocess.PIPE, text=True)
        for _ in range(4)
    ]
    assert [program.communicate()[0] for program in each] == ["''\n"] * 4
    with opened(tmp_path).store as store:
        assert len({run.id for run in store.runs()}) == len(store.runs()) == 12


def test_nobody_else_may_read_journals_and_records(tmp_path: Path) -> None:
    path = journalled(tmp_path / "runs")
    opened(tmp_path).store.close()
    for file in (path, tmp_path / "records.sqlite"):
        assert stat.S_IMODE(file.stat().st_mode) == 0o600


def test_of_several_runs_one_is_meant_or_the_choice_is_told(tmp_path: Path) -> None:
    with Store() as store:
        store.put("a.jsonl", 1, [Header("level", MACHINE, created="2026-01-01T00:00:00+00:00")])
        newest = store.put("b.jsonl", 1, [Header("level", MACHINE, created="2026-01-02T00:00:00+00:00")])
        assert store.find("last") == newest
        assert store.runs()[0] == newest
        with pytest.raises(RecordsError, match="no run 'zz'"):
            store.find("zz")
        with pytest.raises(RecordsError, match="no run ''"):
            store.find("")


def test_a_run_kept_in_memory_can_be_written_elsewhere_and_filed_from_there(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("")
    journal = start(Header("level", MACHINE), tmp_path / "taken")
    assert journal.trouble
    journal.append(Confirm("cautions"), Confirmed())
    journal.finish(Outcome(FINDING, 1, True))
    (tmp_path / "runs").mkdir()
    write_elsewhere(journal, tmp_path / "runs" / "kept.jsonl")
    with opened(tmp_path).store as store:
        assert [run.status for run in store.runs()] == ["proven"]
