from __future__ import annotations

import tomllib

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.load import parse, shipped
from profiles.write import toml_of


@pytest.mark.parametrize("name", sorted(shipped()))
def test_a_shipped_profile_is_the_same_machine_after_it_was_written_anew(name: str) -> None:
    document = tomllib.loads(shipped()[name].read_text("utf-8"))
    text = toml_of(document)
    assert tomllib.loads(text) == document
    machine = parse(text, "new.toml")
    assert parse(toml_of(msgspec.to_builtins(machine)), "whole.toml") == machine


def test_each_key_is_explained_once_and_lines_are_short() -> None:
    text = toml_of(tomllib.loads(shipped()["three-point-225"].read_text("utf-8")))
    for key in ("clearance_mm", "tolerance_mm", "clockwise", "leaves_mm", "at_mm"):
        explained = [line for line in text.splitlines() if line.startswith(f"{key} = ") and "#" in line]
        assert explained, key
    assert text.count("# the side that clockwise is seen from") == 1


@settings(max_examples=60)
@given(st.text(min_size=1, max_size=20).filter(lambda text: not any("\ud800" <= c <= "\udfff" for c in text)))
def test_any_name_is_written_so_that_it_reads_back(name: str) -> None:
    assert tomllib.loads(toml_of({"format": "x", "name": name})) == {"format": "x", "name": name}
