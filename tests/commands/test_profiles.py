from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
import pytest

from profiles.load import load, shipped
from profiles.machine import Machine

Run = Callable[..., Any]


@pytest.fixture(autouse=True)
def home(monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder for what is the person's own, empty at first."""
    home = tmp_path_factory.mktemp("home")
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(home))
    return home


def test_list_names_each_shipped_profile_on_a_line(run: Run, home: Path) -> None:
    code, out, err = run("profiles", "list")
    assert (code, err) == (0, "")
    *lines, empty, own = out.splitlines()
    assert [line.split()[0] for line in lines] == sorted(shipped())
    assert (empty, own) == ("", f"your own profiles are kept in {home}/profiles")


def test_list_as_json_is_one_object(run: Run) -> None:
    told = run("profiles", "list", "--json").json()
    assert told["format"] == "tramwright-profiles/1"
    assert {one["profile"]: one["name"] for one in told["profiles"]} == {
        name: load(name).name for name in shipped()
    }


def test_show_tells_a_machine_in_words(run: Run) -> None:
    code, out, _ = run("profiles", "show", "three-point-225")
    assert code == 0
    assert out.startswith("Three screws under a square plate, 225 mm\n")


def test_show_as_json_is_the_whole_machine(run: Run) -> None:
    out = run("profiles", "show", "touch-probe-255", "--json").out
    assert msgspec.json.decode(out, type=Machine) == load("touch-probe-255")


def test_show_of_what_is_not_there_is_refused_in_one_sentence(run: Run) -> None:
    code, out, err = run("profiles", "show", "nothing.toml")
    assert (code, out, err) == (2, "", "tramwright: nothing.toml: there is no such file.\n")


def test_check_says_that_a_profile_can_be_used(run: Run) -> None:
    assert run("profiles", "check", "four-corner-220") == (0, "four-corner-220: can be used.\n", "")


def test_check_says_all_that_is_wrong_and_goes_on_with_the_next(run: Run, tmp_path: Path) -> None:
    text = shipped()["four-corner-220"].read_text("utf-8")
    mine = tmp_path / "mine.toml"
    mine.write_text(
        text.replace("clearance_mm = 5.0", "clearance_mm = 0").replace("soak_min = 5", "soak_min = -5")
    )
    code, out, err = run("profiles", "check", mine, "three-point-225")
    assert code == 2
    assert out == "three-point-225: can be used.\n"
    assert [line.split(": ")[1].split()[0] for line in err.splitlines()] == [
        "motion.clearance_mm",
        "heat.soak_min",
    ]
    assert "mine.toml, line 20: motion.clearance_mm is 0, but must be" in err


@pytest.mark.parametrize("like", ["four-corner-220", "stored-offset-140"])
@pytest.mark.parametrize("name", ["The one by the window", 'a "b" \\ c', "Größe \U0001f600"])
def test_new_writes_a_commented_profile_that_can_be_used(
    run: Run, tmp_path: Path, like: str, name: str
) -> None:
    file = tmp_path / "mine.toml"
    code, out, _ = run("profiles", "new", name, "-o", file, "--like", like)
    assert code == 0
    assert f"tramwright profiles check {file}" in out
    assert file.read_text("utf-8").startswith("# Set every value below")
    assert run("profiles", "check", file).code == 0
    assert load(str(file)) == msgspec.structs.replace(load(like), name=name)


def test_a_new_profile_explains_its_keys() -> None:
    text = shipped()["four-corner-220"].read_text("utf-8")
    keys = [
        line
        for line in text[: text.index('[[adjuster]]\nname = "front right"')].splitlines()
        if " = " in line
    ]
    assert sum("#" in line for line in keys) >= len(keys) / 2


def test_new_never_writes_over_a_file(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text("mine")
    code, _, err = run("profiles", "new", "a", "-o", file, "--like", "three-point-225")
    assert code == 2
    assert err == f"tramwright: {file}: it is there already, and nothing is written over it.\n"
    assert file.read_text() == "mine"


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (("", "-o", "x.toml", "--like", "three-point-225"), 'NAME is "", but must be 1 to 80 characters'),
        (("a\nb", "-o", "x.toml"), 'NAME is "a\\nb", but must be 1 to 80 characters'),
        (("\udc80", "-o", "x.toml"), 'NAME is "\\udc80", but must be 1 to 80 characters'),
        (
            ("a", "-o", "none/x.toml", "--like", "three-point-225"),
            "none/x.toml: it cannot be written: No such file or directory.",
        ),
        (("a", "-o", "x.toml", "--like", "b"), 'no profile is called "b"; allowed are endstop-screw-120, '),
    ],
)
def test_new_refuses_in_one_sentence_and_writes_nothing(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, argv: tuple[str, ...], said: str
) -> None:
    monkeypatch.chdir(tmp_path)
    code, out, err = run("profiles", "new", *argv)
    assert (code, out) == (2, "")
    assert said in err
    assert list(tmp_path.iterdir()) == []


def test_the_json_of_show_is_plain_json(run: Run) -> None:
    assert (
        json.loads(run("profiles", "show", "four-corner-220", "--json").out)["format"]
        == "tramwright-profile/1"
    )


def test_a_new_profile_is_found_by_its_name_and_told_as_the_person_s_own(run: Run, home: Path) -> None:
    assert run("profiles", "new", "The one by the window", "--like", "three-point-225").code == 0
    assert (home / "profiles" / "the-one-by-the-window.toml").exists()
    assert run("profiles", "check", "the-one-by-the-window").code == 0
    assert "the-one-by-the-window  The one by the window  (your own)\n" in run("profiles", "list").out


def test_a_copy_stands_in_place_of_the_shipped_one_and_list_says_so(run: Run, home: Path) -> None:
    assert run("profiles", "copy", "four-corner-220").code == 0
    own = home / "profiles" / "four-corner-220.toml"
    assert own.read_bytes() == shipped()["four-corner-220"].read_bytes()
    own.write_text(own.read_text().replace("max_bed_c = 110", "max_bed_c = 90"))
    assert load("four-corner-220").heat.max_bed_c == 90
    assert "(your own, in place of the shipped one)" in run("profiles", "list").out
    rows = {row["profile"]: row for row in run("profiles", "list", "--json").json()["profiles"]}
    assert rows["four-corner-220"]["whose"] == "own"
    assert rows["four-corner-220"]["file"] == str(own)
    assert rows["three-point-225"]["whose"] == "shipped"
    assert run("profiles", "copy", "four-corner-220").code == 2
    assert run("profiles", "copy", str(shipped()["four-corner-220"]), "--over").code == 0
    assert load("four-corner-220").heat.max_bed_c == 110


def test_a_copy_may_have_a_name_of_its_own(run: Run) -> None:
    assert run("profiles", "copy", "three-point-225", "Twin").code == 0
    assert load("twin") == msgspec.structs.replace(load("three-point-225"), name="Twin")


def test_an_own_profile_that_is_wrong_is_listed_with_what_is_wrong(run: Run, home: Path) -> None:
    run("profiles", "copy", "four-corner-220", "Mine")
    own = home / "profiles" / "mine.toml"
    own.write_text(own.read_text().replace("baud = 115200", "baud = 1"))
    code, out, _ = run("profiles", "list")
    assert code == 0
    assert ": motion.baud is 1, but must be 1200 to 4000000 baud." in out


def test_the_schema_is_one_json_object_on_the_screen_or_in_a_file(run: Run, tmp_path: Path) -> None:
    printed = run("profiles", "schema").json()
    assert run("profiles", "schema", "-o", tmp_path / "schema.json").code == 0
    assert json.loads((tmp_path / "schema.json").read_text()) == printed
    assert printed["$schema"].endswith("2020-12/schema")
    assert run("profiles", "schema", "-o", tmp_path / "schema.json").code == 2
