"""Readings from a spreadsheet: each date a run, mistakes told by line, nothing filed twice."""

from __future__ import annotations

from pathlib import Path

import pytest

from profiles.load import load
from wizard.__main__ import main
from wizard.formats.rounds_values import RoundsFault
from wizard.records.filing import open_records
from wizard.records.imported import rounds_by_date
from wizard.rounds import Reading

MACHINE = load("three-point-225")
GAPS = (
    "date,point,gap_mm\n"
    + "".join(f"2026-0{month}-01,front left,{0.15 + 0.01 * month:.2f}\n" for month in range(1, 5))
    + "".join(f"2026-0{month}-01,front right,{0.15 - 0.01 * month:.2f}\n" for month in range(1, 5))
)


def test_each_date_is_one_run_and_a_second_import_changes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    (tmp_path / "kept.csv").write_text(GAPS, encoding="utf-8")
    argv = ["history", "import", "three-point-225", str(tmp_path / "kept.csv")]
    assert main(argv) == main(argv) == 0
    assert capsys.readouterr().out.splitlines() == [
        f"4 runs of {MACHINE.name!r} are new, 0 were on record already.",
        f"0 runs of {MACHINE.name!r} are new, 4 were on record already.",
    ]
    with open_records().store as store:
        runs = store.runs()
        assert [run.created[:10] for run in runs] == [f"2026-0{month}-01" for month in (4, 3, 2, 1)]
        assert {run.procedure for run in runs} == {"import"}
        assert not any(run.status == "proven" for run in runs)
        assert store.whole(runs[0].id).rounds[0].readings["front left"] == Reading(0.19, 0.19)
    assert main(["history", "drift"]) == 0
    assert "Support front left (+ is sunk): drifts, +0.01" in capsys.readouterr().out


def test_brackets_may_be_open_and_times_have_zones() -> None:
    rounds = rounds_by_date(
        "date,point,low_mm,high_mm\n2026-03-01T10:00+02:00,centre,0.1,\n2026-01-01,centre,,0.2\n", MACHINE
    )
    assert list(rounds) == ["2026-01-01T00:00:00.000000+00:00", "2026-03-01T08:00:00.000000+00:00"]
    assert [one.readings["centre"] for one in rounds.values()] == [Reading(None, 0.2), Reading(0.1, None)]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("point,gap_mm\n", "line 1 is 'point,gap_mm', but must be date,point"),
        ("date,point,gap_mm\n", "line 1 is followed by no reading"),
        ("date,point,gap_mm\n1.3.2026,centre,0.1\n", "line 2 has the date '1.3.2026'"),
        ("date,point,gap_mm\n2026-03-01,center,0.1\n", "line 2: 'center' is no point of this machine"),
        ("date,point,gap_mm\n2026-03-01,centre,thin\n", "line 2, 'centre', gap_mm is 'thin'"),
        ("date,point,gap_mm\n2026-03-01,centre,0,1\n", "line 2, 'centre' has 3 columns"),
        ("date,point,gap_mm\n2026-03-01\n", "line 2: '' is no point"),
        (
            "date,point,gap_mm\n2026-03-01,centre,0.1\n\n2026-03-01,centre,0.2\n",
            "line 4: 'centre' stands there a second time",
        ),
        ("date,point,low_mm,high_mm\n2026-03-01,centre,0.3,0.2\n", "low 0.3 above high 0.2"),
    ],
)
def test_what_is_wrong_is_told_by_line(text: str, told: str) -> None:
    with pytest.raises(RoundsFault) as fault:
        rounds_by_date(text, MACHINE)
    assert told in str(fault.value).replace('"', "'")
