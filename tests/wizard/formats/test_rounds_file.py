from __future__ import annotations

import io
import os
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.load import load
from wizard.exits import InputRefused
from wizard.formats.rounds_file import LARGEST_FILE_BYTES, parse, read_rounds
from wizard.rounds import Reading

MACHINE = load("four-corner-220")
GOOD = '{"format": "tramwright-rounds/1", "rounds": [{"readings": {"centre": {"gap": 0.2}}}]}'


def refusal(name: object) -> str:
    with pytest.raises(InputRefused) as raised:
        read_rounds(str(name), MACHINE)
    assert str(raised.value).isprintable()
    return str(raised.value)


def test_json_is_known_by_its_brace_and_csv_by_its_first_line(tmp_path: Path) -> None:
    (tmp_path / "a").write_text(" \n" + GOOD)
    (tmp_path / "b").write_text("point,gap_mm\ncentre,0.2\n")
    wanted = {"centre": Reading(0.2, 0.2)}
    assert [read_rounds(str(tmp_path / name), MACHINE)[0].readings for name in "ab"] == [wanted, wanted]


def test_a_dash_is_standard_input(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(GOOD.encode())))
    assert len(read_rounds("-", MACHINE)) == 1


def test_too_much_on_standard_input_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b" " * (LARGEST_FILE_BYTES + 1))))
    assert refusal("-").startswith("standard input: more than 1000000 bytes, which is the most; readings are")


def test_a_hundred_megabytes_are_refused_by_the_size_alone(tmp_path: Path) -> None:
    with (tmp_path / "huge.json").open("wb") as stream:
        stream.truncate(100_000_000)
    assert "huge.json: 100000000 bytes, but 1000000 are the most; readings are JSON or CSV" in refusal(
        tmp_path / "huge.json"
    )


def test_a_file_that_grows_while_it_is_looked_at_is_still_not_read_whole(tmp_path: Path) -> None:
    assert "not an ordinary file" in refusal("/dev/zero")


def test_a_folder_a_missing_file_and_a_pipe_are_told(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    assert f"{tmp_path}: this is a folder; readings are JSON or CSV in UTF-8 text." in refusal(tmp_path)
    assert refusal(tmp_path / "none") == f"{tmp_path}/none: there is no such file."
    assert "this is not an ordinary file" in refusal(tmp_path / "pipe")


def test_what_is_not_text_is_told_with_the_place(tmp_path: Path) -> None:
    (tmp_path / "x.json").write_bytes(b'{"\xff"}')
    assert "byte 3 is not UTF-8 text" in refusal(tmp_path / "x.json")


@pytest.mark.parametrize("text", ["", "\n \n", "\ufeff"])
def test_an_empty_file_is_told(tmp_path: Path, text: str) -> None:
    (tmp_path / "x.json").write_text(text, "utf-8")
    assert "x.json: the file is empty; readings are JSON or CSV" in refusal(tmp_path / "x.json")


def test_a_file_without_a_reading_is_told() -> None:
    for text in ('{"format": "tramwright-rounds/1", "rounds": [{}]}', "point,gap_mm\n"):
        with pytest.raises(
            InputRefused, match=r"x: there is no reading in it; at least one round needs readings\."
        ):
            parse(text, "x", MACHINE)


def test_what_is_named_json_is_told_as_json(tmp_path: Path) -> None:
    (tmp_path / "x.json").write_text("point,gap_mm")
    assert "x.json: this is not JSON: Expecting value: line 1 column 1" in refusal(tmp_path / "x.json")


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=100) | st.text(max_size=60).map(lambda rest: "point,low_mm,high_mm\ncentre," + rest))
def test_any_text_gives_rounds_or_one_sentence(text: str) -> None:
    said = "x: "
    try:
        assert parse(text, "x", MACHINE)[0].readings
    except InputRefused as error:
        said = str(error)
    assert said.startswith("x: ")
    assert said.isprintable()
