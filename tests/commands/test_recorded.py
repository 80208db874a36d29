"""What follows a run: it is filed; a journal that the disk refused is written to another place."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest

from profiles.load import load
from wizard.commands.recorded import recorded
from wizard.journal import read_lines, start
from wizard.record import Header
from wizard.records.filing import open_records, records_path
from wizard.requests import Confirm, Confirmed

MACHINE = load("three-point-225")


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path / "home"))
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    return tmp_path


def test_a_run_is_filed_however_it_ends(home: Path) -> None:
    with pytest.raises(KeyboardInterrupt), recorded(start(Header("level", MACHINE))):
        raise KeyboardInterrupt
    assert records_path().exists()
    with open_records().store as store:
        assert len(store.runs()) == 1


def test_where_the_records_cannot_be_written_the_journal_is_told(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    journal = start(Header("level", MACHINE))
    records_path().write_bytes(b"no records" * 1000)
    with recorded(journal):
        pass
    told = capsys.readouterr().err
    assert "not a whole file of records" in told
    assert str(journal.path) in told


def test_a_run_kept_in_memory_is_written_where_there_is_room(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without a terminal nobody can be asked, so it goes to the folder for passing things."""
    (home / "home").write_text("a file where the folder should be")
    journal = start(Header("level", MACHINE))
    assert journal.trouble
    with recorded(journal):
        journal.append(Confirm("cautions"), Confirmed())
    told = capsys.readouterr().err
    (path,) = home.glob("*-level.jsonl")
    assert str(path) in told
    assert len(read_lines(path)) == 2
