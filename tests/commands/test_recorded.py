"""What follows a run: it is filed; a journal that the disk refused is written to another place."""

from __future__ import annotations

import errno
import os
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import pytest

from profiles.load import load
from wizard.commands.recorded import recorded
from wizard.journal.files import read_lines
from wizard.journal.lines import Header
from wizard.journal.writing import start
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


class Typist:
    """Somebody at the terminal who types these lines when asked."""

    def __init__(self, *lines: object) -> None:
        self.left = [f"{line}\n" for line in lines]

    def isatty(self) -> bool:
        return True

    def readline(self) -> str:
        return self.left.pop(0) if self.left else ""


@pytest.fixture
def at_terminal(monkeypatch: pytest.MonkeyPatch) -> Callable[..., Typist]:
    def sit(*lines: object) -> Typist:
        typist = Typist(*lines)
        monkeypatch.setattr(sys, "stdin", typist)
        monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
        return typist

    return sit


def full_after(monkeypatch: pytest.MonkeyPatch, lines: int) -> None:
    """Have the disk full once so many more lines are on it."""
    real, left = os.fsync, [lines]

    def fsync(handle: int) -> None:
        left[0] -= 1
        if left[0] < 0:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        real(handle)

    monkeypatch.setattr("wizard.journal.files.os.fsync", fsync)


def test_where_the_disk_is_full_in_mid_run_all_answers_are_written_to_the_place_asked_for(
    home: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    at_terminal: Callable[..., Typist],
) -> None:
    (home / "elsewhere").mkdir()
    at_terminal(home / "no such folder" / "x.jsonl", home / "elsewhere" / "kept.jsonl")
    journal = start(Header("level", MACHINE))
    with recorded(journal):
        with monkeypatch.context() as patch:
            full_after(patch, 2)
            for _ in range(5):
                journal.append(Confirm("cautions"), Confirmed())
        assert "No space left on device" in journal.trouble
    told = capsys.readouterr().err
    assert "the run was kept in memory" in told
    assert "no such folder/x.jsonl: cannot be written: No such file or directory" in told
    assert len(read_lines(home / "elsewhere" / "kept.jsonl")) == 1 + 5


def test_in_a_folder_that_is_read_only_the_run_is_kept_in_memory_and_written_to_the_place_asked_for(
    home: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    at_terminal: Callable[..., Typist],
) -> None:
    def read_only(*_: object) -> int:
        raise OSError(errno.EROFS, os.strerror(errno.EROFS))

    with monkeypatch.context() as patch:
        patch.setattr("wizard.journal.files.private", read_only)
        journal = start(Header("level", MACHINE))
    assert "Read-only file system" in journal.trouble
    at_terminal(home / "kept.jsonl")
    with recorded(journal):
        journal.append(Confirm("cautions"), Confirmed())
        journal.take_back()
        journal.append(Confirm("cautions"), Confirmed())
    assert "Write the record of this run to which file?" in capsys.readouterr().err
    assert len(read_lines(home / "kept.jsonl")) == 2
    assert (home / "kept.jsonl").stat().st_mode & 0o777 == 0o600


def test_enter_takes_the_folder_for_passing_things_and_nothing_there_is_written_over(
    home: Path, capsys: pytest.CaptureFixture[str], at_terminal: Callable[..., Typist]
) -> None:
    (home / "home").write_text("a file where the folder should be")
    (home / "taken.jsonl").write_text("mine")
    at_terminal(home / "taken.jsonl", "")
    with recorded(start(Header("level", MACHINE))):
        pass
    assert "taken.jsonl: cannot be written: File exists" in capsys.readouterr().err
    assert (home / "taken.jsonl").read_text() == "mine"
    (path,) = home.glob("2*-level.jsonl")
    assert len(read_lines(path)) == 1


def test_a_record_written_elsewhere_is_filed_once_moved_to_the_others(
    home: Path, at_terminal: Callable[..., Typist]
) -> None:
    (home / "home").write_text("a file where the folder should be")
    at_terminal(home / "kept.jsonl")
    with recorded(start(Header("level", MACHINE, nozzle="brass"))):
        pass
    (home / "home").unlink()
    (home / "home" / "runs").mkdir(parents=True)
    (home / "kept.jsonl").rename(home / "home" / "runs" / "kept.jsonl")
    with open_records().store as store:
        assert [run.nozzle for run in store.runs()] == ["brass"]


def test_with_a_corrupt_file_of_records_the_runs_are_listed_from_memory(home: Path) -> None:
    start(Header("level", MACHINE, nozzle="brass")).close()
    records_path().write_bytes(b"no records" * 1000)
    records = open_records()
    with records.store as store:
        assert [run.nozzle for run in store.runs()] == ["brass"]
    assert "not a whole file of records any more" in records.troubles[0]
    assert records_path().read_bytes() == b"no records" * 1000
