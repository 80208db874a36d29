from __future__ import annotations

from pathlib import Path

import pytest

from profiles import own
from profiles.load import ProfileError, found, load, shipped


@pytest.fixture(autouse=True)
def home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    return tmp_path


def test_own_profiles_lie_in_the_xdg_configuration_folder(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("TRAMWRIGHT_HOME")
    monkeypatch.setenv("XDG_CONFIG_HOME", "/somewhere/config")
    assert own.folder() == Path("/somewhere/config/tramwright/profiles")


def test_an_own_profile_is_found_by_name(text: str) -> None:
    own.write(own.file_for("Mine"), text)
    assert load("mine") == load("four-corner-220")
    assert list(found())[-1] == "mine"


def test_an_own_profile_stands_in_place_of_the_shipped_one_of_that_name(text: str) -> None:
    own.write(own.folder() / "four-corner-220.toml", text.replace("max_bed_c = 110", "max_bed_c = 90"))
    assert load("four-corner-220").heat.max_bed_c == 90
    assert load(str(shipped()["four-corner-220"])).heat.max_bed_c == 110


@pytest.mark.parametrize(
    ("name", "stem"),
    [
        ("The one by the window", "the-one-by-the-window"),
        ("Größe 3", "groe-3"),
        ("机", "machine"),
        ("../x", "x"),
    ],
)
def test_a_machine_s_name_makes_a_plain_file_name_inside_the_folder(name: str, stem: str) -> None:
    assert own.file_for(name) == own.folder() / f"{stem}.toml"


def test_nothing_is_written_over_unless_told(home: Path) -> None:
    file = home / "a.toml"
    own.write(file, "one")
    with pytest.raises(ProfileError, match="it is there already, and nothing is written over it"):
        own.write(file, "two")
    assert file.read_text() == "one"
    own.write(file, "two", over=True)
    assert file.read_text() == "two"
    assert [each.name for each in home.iterdir()] == ["a.toml"]


def test_without_links_on_the_file_system_it_is_the_same(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_links(*_: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr("os.link", no_links)
    file = home / "a.toml"
    own.write(file, "one")
    with pytest.raises(ProfileError, match="nothing is written over it"):
        own.write(file, "two")
    assert file.read_text() == "one"


def test_a_write_that_fails_leaves_nothing_behind(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    own.write(home / "a.toml", "one")
    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(ProfileError, match="it cannot be written: No space left on device"):
        own.write(home / "a.toml", "two", over=True)
    assert {each.name: each.read_text() for each in home.iterdir()} == {"a.toml": "one"}


def test_where_the_folder_cannot_be_read_there_are_no_own_profiles(home: Path) -> None:
    (home / "profiles").write_text("a file where the folder belongs")
    assert own.files() == {}
    with pytest.raises(ProfileError, match="it cannot be written"):
        own.write(own.file_for("a"), "x")
