from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.load import LARGEST_FILE_BYTES, ProfileError, load, parse, problems, shipped


def refusal(name: object) -> str:
    with pytest.raises(ProfileError) as raised:
        load(str(name))
    sentence = str(raised.value)
    assert "\n" not in sentence
    assert sentence.endswith(".")
    return sentence


def test_every_kind_of_machine_in_the_field_has_a_shipped_profile() -> None:
    assert sorted(shipped()) == [
        "endstop-screw-120",
        "four-corner-220",
        "motor-levelled-300",
        "nozzle-contact-210",
        "stored-offset-140",
        "three-point-225",
        "touch-probe-255",
    ]


@pytest.mark.parametrize("name", sorted(shipped()))
def test_a_shipped_profile_has_nothing_wrong_by_name_and_by_path(name: str) -> None:
    assert problems(name) == ()
    assert load(name) == load(str(shipped()[name]))


def test_a_machine_has_what_its_profile_says() -> None:
    machine = load("four-corner-220")
    assert [adjuster.name for adjuster in machine.adjuster] == [
        "front left",
        "front right",
        "back right",
        "back left",
    ]
    assert machine.motion.z_mm == (0.0, 240.0)
    assert machine.measuring_height_mm == 0.20
    assert machine.point_named("centre").at_mm == (110.0, 110.0)


def test_a_name_nobody_knows_is_answered_with_the_nearest() -> None:
    said = refusal("four-corner-20")
    assert said.startswith(
        'no profile is called "four-corner-20"; perhaps "four-corner-220" is meant; allowed'
    )


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    assert refusal(tmp_path / "none.toml") == f"{tmp_path}/none.toml: there is no such file."


def test_a_folder_is_told(tmp_path: Path) -> None:
    assert "this is a folder; a profile is one TOML file" in refusal(tmp_path)


def test_what_is_no_ordinary_file_is_never_opened(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.toml")
    assert "not an ordinary file" in refusal(tmp_path / "pipe.toml")


def test_a_huge_file_is_refused_by_its_size_alone(tmp_path: Path) -> None:
    huge = tmp_path / "huge.toml"
    with huge.open("wb") as stream:
        stream.truncate(100_000_000)
    assert f"100000000 bytes, but {LARGEST_FILE_BYTES} are the most" in refusal(huge)


def test_what_is_not_utf_8_is_told_with_the_place(tmp_path: Path) -> None:
    (tmp_path / "latin.toml").write_bytes(b'name = "M\xfcller"')
    assert "byte 10 is not UTF-8 text" in refusal(tmp_path / "latin.toml")


def test_a_byte_order_mark_in_front_does_no_harm(tmp_path: Path, text: str) -> None:
    (tmp_path / "marked.toml").write_bytes(b"\xef\xbb\xbf" + text.encode())
    assert load(str(tmp_path / "marked.toml")) == load("four-corner-220")


@pytest.mark.parametrize(
    "wrong", ["a = ", "[bed\n", "a = 1\na = 2", "x = " + "[" * 5000, "x = " + "9" * 5000]
)
def test_what_is_not_toml_is_told_with_the_reason(tmp_path: Path, wrong: str) -> None:
    (tmp_path / "wrong.toml").write_text(wrong)
    assert "wrong.toml: this is not TOML: " in refusal(tmp_path / "wrong.toml")


@pytest.mark.parametrize(
    ("line", "said"), [("", "missing"), ('format = "other/2"', '"other/2"'), ("format = 1", "1")]
)
def test_another_format_is_told_before_all_else(line: str, said: str) -> None:
    with pytest.raises(ProfileError) as raised:
        parse(line + "\nwhatever = 3", "mine.toml")
    assert str(raised.value) == f'mine.toml: format is {said}, but must be "tramwright-profile/1".'


def test_a_name_that_a_terminal_would_act_on_is_printed_as_escapes() -> None:
    assert "\x1b" not in refusal("\x1b[2Jx.toml")
    assert "\\x1b[2Jx.toml" in refusal("\x1b[2Jx.toml")


def test_all_that_is_wrong_is_told_at_once(tmp_path: Path, text: str) -> None:
    mine = tmp_path / "mine.toml"
    mine.write_text(
        text.replace("clearance_mm = 5.0", "clearance_mm = 0.1").replace("baud = 115200", "baud = 1")
    )
    assert len(problems(str(mine))) == 2


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=200))
def test_any_text_is_either_a_machine_or_one_sentence(text: str) -> None:
    with pytest.raises(ProfileError) as raised:  # no text that short is a whole machine
        parse(text, "mine.toml")
    assert str(raised.value).startswith("mine.toml: ")
    assert str(raised.value).isprintable()
