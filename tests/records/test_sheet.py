"""A spreadsheet as people save it is taken right, or each line that cannot be is named."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from profiles.load import load
from wizard.formats.rounds_values import RoundsFault
from wizard.records.sheet import MOST_FAULTS, Sheet, sheet_of, text_of
from wizard.rounds import Reading

MACHINE = load("three-point-225")
NOW = datetime(2026, 4, 1, tzinfo=UTC)
GAP = Reading(0.15, 0.15)


def taken(text: str) -> Sheet:
    return sheet_of(text, MACHINE, NOW)


def test_brackets_may_be_open_and_times_have_zones() -> None:
    days = taken(
        "date,point,low_mm,high_mm\n2026-03-01T10:00+02:00,centre,0.1,\n2026-01-01,centre,,0.2\n"
    ).days
    assert list(days) == ["2026-01-01T00:00:00.000000+00:00", "2026-03-01T08:00:00.000000+00:00"]
    assert [day.readings["centre"] for day in days.values()] == [Reading(None, 0.2), Reading(0.1, None)]


@pytest.mark.parametrize(
    "text",
    [
        "date;point;gap_mm\r\n2026-03-01;front left;0,15\r\n\r\n",
        "date\tpoint\tgap_mm\n2026-03-01\tfront left\t.15\n",
        'date,point,gap_mm\n2026-03-01,front left,"0,15"\n,,\n',
        "Point , Gap (mm), DATE\nFront  Left,0.15,2026-03-01\n",
        "\n\ndate,point,gap_mm,,\n2026-03-01,front left,0.15,,\n",
        "date,point,gap_mm\n1.3.2026,front left,0.15",
        "date;point;gap_mm\n01.03.2026 00:00;front left;0,150\n",
        "date,point,gap_mm\n2026/03/01,front left,+0.15\n",
        "date;point;gap_mm;note\n2026-03-01;front left;0.15\n",
    ],
)
def test_the_same_reading_is_taken_however_the_file_was_saved(text: str) -> None:
    ((date, day),) = taken(text).days.items()
    assert date == "2026-03-01T00:00:00.000000+00:00"
    assert day.readings == {"front left": GAP}


def test_what_was_said_of_a_day_is_kept_and_other_columns_are_named() -> None:
    sheet = taken(
        "date,point,gap_mm,remark,by,nozzle\n2026-03-01,centre,0.15,warm day,me,brass\n"
        "2026-03-01,front left,0.15,warm day,me,brass\n"
    )
    (day,) = sheet.days.values()
    assert (day.nozzle, day.remark) == ("brass", "warm day")
    assert sheet.left_out == ("by",)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_every_encoding_that_spreadsheets_write_is_read(encoding: str) -> None:
    assert text_of("date,point,gap_mm,größe\n".encode(encoding)) == "date,point,gap_mm,größe\n"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "line 1 is '', but must name the columns date,point"),
        ("point,gap_mm\n", "line 1 is 'point,gap_mm', but must name the columns date,point"),
        ("date,point,gap_mm,low_mm,high_mm\n", "line 1 is"),
        ("date,date,point,gap_mm\n", "each once"),
        ("date,point,gap_mm\n", "line 1 is followed by no reading"),
        ("date,point,gap_mm\n3/1/2026,centre,0.1\n", "line 2 has the date '3/1/2026', which may be two days"),
        ("date,point,gap_mm\n31.2.2026,centre,0.1\n", "line 2 has the date '31.2.2026', but must"),
        (
            "date,point,gap_mm\n2026-05-01,centre,0.1\n",
            "line 2 has the date '2026-05-01', which is yet to come",
        ),
        ("date,point,gap_mm\n2026-03-01,center,0.1\n", "line 2: 'center' is no point of this machine"),
        ("date,point,gap_mm\n2026-03-01,centre,thin\n", "line 2, 'centre', gap_mm is 'thin'"),
        ("date,point,gap_mm\n2026-03-01,centre,150\n", "line 2, 'centre', gap is 150"),
        ("date,point,gap_mm\n2026-03-01,centre,0,1\n", "line 2 has 4 columns, but line 1 has 3"),
        ("date,point,gap_mm\n2026-03-01\n", "line 2: '' is no point"),
        (
            "date,point,gap_mm\n2026-03-01,centre,0.1\n\n2026-03-01,Centre,0.2\n",
            "line 4: 'centre' stands there a second time",
        ),
        ("date,point,low_mm,high_mm\n2026-03-01,centre,0.3,0.2\n", "low 0.3 above high 0.2"),
        ("date,point,low_mm,high_mm\n2026-03-01,centre,,\n", "neither low nor high"),
    ],
)
def test_what_is_wrong_is_told_by_line(text: str, told: str) -> None:
    with pytest.raises(RoundsFault) as fault:
        taken(text)
    assert told in str(fault.value).replace('"', "'")


def test_all_lines_that_cannot_be_taken_are_told_at_once_as_far_as_a_person_reads() -> None:
    wrong = "".join(f"2026-03-{day:02d},center,0.1\n" for day in range(1, 21))
    with pytest.raises(RoundsFault) as fault:
        taken(f"date,point,gap_mm\n{wrong}")
    lines = str(fault.value).splitlines()
    assert lines[0] == "20 lines cannot be taken:"
    assert [line.split(":")[0].strip() for line in lines[1 : MOST_FAULTS + 1]] == [
        f"line {n}" for n in range(2, MOST_FAULTS + 2)
    ]
    assert lines[-1].strip() == f"... and {20 - MOST_FAULTS} more"
