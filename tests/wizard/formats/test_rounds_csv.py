from __future__ import annotations

import pytest

from profiles.load import load
from wizard.formats.rounds_csv import rounds_of_csv
from wizard.formats.rounds_values import RoundsFault
from wizard.rounds import Reading, Round

MACHINE = load("four-corner-220")


def refusal(text: str) -> str:
    with pytest.raises(RoundsFault) as raised:
        rounds_of_csv(text, MACHINE)
    return str(raised.value)


def test_a_bracket_a_line_is_one_round_and_an_empty_cell_an_open_side() -> None:
    text = 'point,low_mm,high_mm\r\n"front left", 0.10,0.15\r\n\r\ncentre,0.5,\r\nback left,,-.05\r\n'
    assert rounds_of_csv(text, MACHINE) == (
        Round(
            {
                "front left": Reading(0.10, 0.15),
                "centre": Reading(0.5, None),
                "back left": Reading(None, -0.05),
            }
        ),
    )


def test_a_gap_a_line_is_a_bracket_without_width() -> None:
    assert rounds_of_csv("point,gap_mm\ncentre,2e-1", MACHINE) == (Round({"centre": Reading(0.2, 0.2)}),)


@pytest.mark.parametrize(
    ("rest", "sentence"),
    [
        ("middle,0,1", 'line 2: "middle" is no point of this machine; '),
        (
            "centre,0.1",
            'line 2, "centre" has 2 columns, but must have 3 (point,low_mm,high_mm), with a point',
        ),
        ("centre,0,10,0,15", 'line 2, "centre" has 5 columns, but must have 3'),
        ("centre,thin,0.1", 'line 2, "centre", low_mm is "thin", but must be a number of mm, or empty'),
        ("centre,1_0,0.1", 'low_mm is "1_0", but must be a number'),
        ("centre,0.1,inf", 'line 2, "centre", high is inf, but must be a number from -20 to 20 mm'),
        ("centre,nan,0.1", 'line 2, "centre", low is nan, but must be a number from -20 to 20 mm'),
        ("centre,0.2,0.1", 'line 2, "centre" has low 0.2 above high 0.1'),
        ("centre,,", 'line 2, "centre" has neither low nor high'),
        (
            "centre,0,1\n\ncentre,0,1",
            'line 4: "centre" stands there a second time, but each point may stand once',
        ),
        ('centre,"0,1', "is not CSV: unexpected end of data"),
        ("centre," + "1" * 200_000, "is not CSV: field larger than field limit"),
    ],
)
def test_a_wrong_line_is_told_with_its_number(rest: str, sentence: str) -> None:
    assert sentence in refusal("point,low_mm,high_mm\n" + rest)


@pytest.mark.parametrize("header", ["point;gap_mm", "gap_mm,point", "POINT,GAP_MM", "nonsense"])
def test_another_first_line_is_told_with_both_that_are_allowed(header: str) -> None:
    assert refusal(header + "\ncentre,1") == (
        f'line 1 is "{header}", but must be point,low_mm,high_mm or point,gap_mm,'
        " unless the file is JSON and starts with a brace"
    )


def test_a_gap_cannot_be_left_open() -> None:
    assert '"centre", gap is null, but must be a number' in refusal("point,gap_mm\ncentre,")
