"""Typed temperatures and thicknesses of pads."""

from __future__ import annotations

import pytest

from wizard.readings import ReadingError, parse_filament, parse_pad


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("60 205", (60.0, 205.0)),
        ("0, 210", (0.0, 210.0)),
        ("60/205.5", (60.0, 205.5)),
        ("60 c 205 C", (60.0, 205.0)),
    ],
)
def test_two_temperatures_are_read(text, told):
    assert parse_filament(text) == told


@pytest.mark.parametrize("text", ["", "205", "60 205 3", "-5 200", "hot", "1e3 2"])
def test_what_is_no_pair_is_refused_with_what_to_type(text):
    with pytest.raises(ReadingError, match="such as 60 205"):
        parse_filament(text)


@pytest.mark.parametrize(
    ("text", "mm"), [("0.16", 0.16), ("0,155", 0.155), (".2 mm", 0.2), ("6 thou", 0.1524), ("160 um", 0.16)]
)
def test_a_thickness_is_read_in_the_units_people_use(text, mm):
    assert parse_pad(text) == mm


def test_whole_numbers_are_hundredths_where_told():
    assert parse_pad("16", hundredths=True) == 0.16
    assert parse_pad("0.16", hundredths=True) == 0.16
    with pytest.raises(ReadingError, match=r"from 0\.01 to 2 mm"):
        parse_pad("16")


@pytest.mark.parametrize("text", ["", "thick", "-0.1", "0.1-0.2"])
def test_what_is_no_thickness_is_refused(text):
    with pytest.raises(ReadingError, match=r"such as 0\.16"):
        parse_pad(text)
