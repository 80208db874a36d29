"""`tramwright keys` prints settings that can be kept as they are printed."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from wizard.__main__ import main
from wizard.keymap import USUAL


def test_it_prints_the_keys_in_force_and_where_they_are_kept(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    (tmp_path / "config.toml").write_text('[keys]\nstop = "f9"\n', encoding="utf-8")
    assert main(["keys"]) == 0
    out, err = capsys.readouterr()
    told = tomllib.loads(out)
    assert told["keys"]["stop"] == "f9"
    assert len(told["keys"]) == len(USUAL.actions) - 1
    assert str(tmp_path / "config.toml") in err


def test_settings_that_cannot_be_used_end_it_with_code_2_and_one_sentence(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    (tmp_path / "config.toml").write_text('[keys]\nstop = ""\n', encoding="utf-8")
    assert main(["keys"]) == 2
    assert capsys.readouterr().err.count("\n") == 1
