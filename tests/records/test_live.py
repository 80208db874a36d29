"""A run is in the records while it goes on, an answer at a time; the records never hold up the job."""

from __future__ import annotations

import sqlite3
import stat
from contextlib import closing
from pathlib import Path

import pytest

from profiles.load import load
from wizard.__main__ import main
from wizard.commands.recorded import recorded
from wizard.journal.lines import Header
from wizard.journal.writing import Journal, reopen, start
from wizard.records.filing import open_records, records_path
from wizard.records.live import Live
from wizard.requests import (
    Confirm,
    Confirmed,
    Connect,
    Connected,
    Outcome,
    ReadingTaken,
    TakeReading,
    Turn,
    Turned,
)
from wizard.rounds import Reading
from wizard.solver.finding import Finding, PointFinding

MACHINE = load("four-corner-220")
FINDING = Finding("outside", "turn", points={"centre": PointFinding(0.3, 0.008, 0.15, 0.3)})


@pytest.fixture
def journal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Journal:
    """A run that has begun, heard by the records."""
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    journal = start(Header("level", MACHINE))
    journal.also = Live(journal).take
    journal.append(Confirm("cautions"), Confirmed())
    journal.append(Connect(), Connected("x", {}, simulated=True))
    return journal


def read(journal: Journal, nth: int) -> None:
    """Take the nth reading."""
    asked = TakeReading("centre", 0.2, 1, nth, 5, "first")
    journal.append(asked, ReadingTaken(Reading(0.1 * nth, 0.1 * nth + 0.05, "leaf")))


def rows(text: str) -> list[tuple[object, ...]]:
    """Return what the file of records holds now, read as any other program would."""
    with closing(sqlite3.connect(records_path())) as file:
        return file.execute(text).fetchall()


def test_each_answer_is_in_the_records_before_the_run_has_ended(journal: Journal) -> None:
    for nth in (1, 2, 3):
        read(journal, nth)
        assert len(rows("SELECT n FROM line")) == nth + 3
        assert rows("SELECT low_mm FROM reading ORDER BY n")[-1] == (pytest.approx(0.1 * nth),)
    journal.append(Turn({"front left": 0.25}, 1, False, FINDING), Turned({"front left": 0.25}))
    assert rows("SELECT what, turns FROM change") == [("front left", 0.25)]
    assert rows("SELECT point, gap_mm FROM gap") == [("centre", 0.3)]
    assert rows("SELECT status FROM run") == [("not ended",)]


def test_a_reading_keeps_how_warm_the_machine_told_to_be(
    journal: Journal, capsys: pytest.CaptureFixture[str]
) -> None:
    for nth, warm in enumerate([(59.6, 22.0), (60.2, 22.4), (None, None)], 1):
        asked = TakeReading("centre", 0.2, 1, nth, 5, "first")
        journal.append(asked, ReadingTaken(Reading(0.1, 0.15, "leaf")), warm=warm)
    assert rows("SELECT bed_c, nozzle_c FROM reading ORDER BY n") == [
        (59.6, 22.0),
        (60.2, 22.4),
        (None, None),
    ]
    assert main(["history", "show", "last"]) == 0
    assert "It told: plate 59.6 to 60.2 °C, nozzle 22.0 to 22.4 °C." in capsys.readouterr().out


def test_line_by_line_comes_to_the_same_as_filed_whole(journal: Journal, tmp_path: Path) -> None:
    read(journal, 1)
    read(journal, 2)
    journal.take_back()
    read(journal, 3)
    journal.append(Turn({"front left": 0.25}, 1, False, FINDING), Turned({"front left": 0.25}))
    journal.finish(Outcome(FINDING, 1, False))
    tables = {
        name: rows(f"SELECT * FROM {name} ORDER BY 1, 2")
        for name in ("run", "line", "reading", "change", "gap")
    }
    for path in tmp_path.glob("records.sqlite*"):
        path.unlink()
    open_records().store.close()
    assert tables == {name: rows(f"SELECT * FROM {name} ORDER BY 1, 2") for name in tables}


def test_the_file_is_written_ahead_and_nobody_else_may_read_what_lies_beside_it(
    journal: Journal, tmp_path: Path
) -> None:
    read(journal, 1)
    assert rows("PRAGMA journal_mode") == [("wal",)]
    beside = sorted(tmp_path.glob("records.sqlite*"))
    assert len(beside) == 3
    assert {stat.S_IMODE(path.stat().st_mode) for path in beside} == {0o600}


def test_another_program_that_writes_the_records_holds_nothing_up_and_hides_nothing(journal: Journal) -> None:
    read(journal, 1)
    with closing(sqlite3.connect(records_path(), isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        read(journal, 2)
        other.execute("ROLLBACK")
    assert len(rows("SELECT n FROM reading")) == 1
    read(journal, 3)
    assert len(rows("SELECT n FROM reading")) == 3


def test_a_run_taken_up_again_goes_on_in_the_records(journal: Journal) -> None:
    read(journal, 1)
    journal.close()
    assert journal.path is not None
    again = reopen(journal.path)
    with recorded(again):
        read(again, 2)
        assert len(rows("SELECT n FROM reading")) == 2
        again.close()
    assert len(rows("SELECT id FROM run")) == 1


def test_records_that_cannot_be_used_do_not_stop_the_run(journal: Journal) -> None:
    records_path().write_bytes(b"no records" * 1000)
    for nth in (1, 2):
        read(journal, nth)
    assert not journal.trouble
    assert journal.path is not None
    assert journal.path.read_bytes().count(b"\n") == 5
