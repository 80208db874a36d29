"""The settings file: read where it is, refused by line, and written so that it can be read again."""

from __future__ import annotations

from pathlib import Path

import pytest

from wizard.config import config_file, keys_in_force, keys_of, settings_text
from wizard.exits import InputRefused
from wizard.keymap import USUAL, key_map


@pytest.fixture(autouse=True)
def home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """A folder of its own for the settings."""
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    return tmp_path


def test_without_a_file_the_usual_keys_are_in_force() -> None:
    assert keys_in_force() == USUAL


def test_a_file_moves_keys(home: Path) -> None:
    (home / "config.toml").write_text('[keys]\ngo-on = "s"\n[answers]\ny = "j"\n', encoding="utf-8")
    assert keys_in_force() == key_map({"go on": "s"}, {"y": "j"})


@pytest.mark.parametrize(
    ("text", "line", "why"),
    [
        ('[keys]\n# more\npause = "x"\n', 3, "'stop' and 'pause'"),
        ('[keys]\nstop = ""\n', 2, "not taken away"),
        ('[answers]\n\ny = "n"\n', 3, "'y' and as 'n'"),
        ("[keys]\npause = 3\n", 2, "quotation marks"),
        ("[keys]\n\n[colours]\nink = 1\n", 3, "no table 'colours'"),
        ('keys = "x"\n', 1, "a table of its own"),
        ("[keys\n", 1, "this is no TOML"),
    ],
)
def test_what_is_wrong_is_told_with_file_and_line(text: str, line: int, why: str) -> None:
    with pytest.raises(InputRefused) as refused:
        keys_of(text, "config.toml")
    assert str(refused.value).startswith("config.toml")
    assert f"line {line}" in str(refused.value)
    assert why in str(refused.value)


@pytest.mark.parametrize("data", [b"\xff[keys]", b"#" * 70_000])
def test_a_file_that_is_no_text_or_too_large_is_refused(home: Path, data: bytes) -> None:
    (home / "config.toml").write_bytes(data)
    with pytest.raises(InputRefused, match=r"config\.toml"):
        keys_in_force()


def test_the_settings_that_are_printed_say_the_keys_in_force() -> None:
    keys = key_map({"pause": "s", "stop": "f9"}, {"y": "j"})
    for thou in (True, False):
        assert keys_of(settings_text(keys, thou=thou), "printed") == keys
        assert f"thousandths = {str(thou).lower()}" in settings_text(keys, thou=thou)


def test_the_file_is_in_the_configuration_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """XDG Base Directory Specification: $XDG_CONFIG_HOME, where it is set."""
    monkeypatch.delenv("TRAMWRIGHT_HOME")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "xdg"))
    assert config_file() == tmp_path / "xdg" / "tramwright" / "config.toml"
