"""The line log as a file, and what a clipboard can take of it."""

from __future__ import annotations

import stat
from datetime import datetime
from pathlib import Path

import pytest

from wizard.journal.line_log import CLIPBOARD_BYTES, for_clipboard, keep

NOW = datetime(2026, 3, 1, 9, 8, 7)


def test_each_log_is_a_file_of_its_own(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    first, second = keep(["> G28", "< ok"], NOW), keep([], NOW)
    assert first == tmp_path / "logs" / "line-20260301-090807.txt"
    assert first.read_text(encoding="utf-8") == "> G28\n< ok\n"
    assert second != first


def test_a_clipboard_gets_the_newest_whole_lines() -> None:
    lines = [f"{nth:09d}" for nth in range(10_000)]
    taken = for_clipboard(lines)
    assert len(taken) <= CLIPBOARD_BYTES
    assert taken.split("\n") == lines[-len(taken.split("\n")) :]
    assert for_clipboard(["< ok"]) == "< ok"


def test_a_log_and_every_folder_made_for_it_are_for_the_user_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path / "data" / "home"))
    path = keep(["> G28"], NOW)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    for folder in (path.parent, tmp_path / "data" / "home", tmp_path / "data"):
        assert stat.S_IMODE(folder.stat().st_mode) == 0o700
