"""Readings from a spreadsheet: each date a run, mistakes told by line, nothing filed twice."""

from __future__ import annotations

from pathlib import Path

import pytest

from profiles.load import load
from wizard.__main__ import main
from wizard.records.filing import open_records
from wizard.rounds import Reading

MACHINE = load("three-point-225")
GAPS = (
    "date,point,gap_mm\n"
    + "".join(f"2024-0{month}-01,front left,{0.15 + 0.01 * month:.2f}\n" for month in range(1, 5))
    + "".join(f"2024-0{month}-01,front right,{0.15 - 0.01 * month:.2f}\n" for month in range(1, 5))
)


def test_each_date_is_one_run_and_a_second_import_changes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    (tmp_path / "kept.csv").write_text(GAPS, encoding="utf-8")
    argv = ["history", "import", "three-point-225", str(tmp_path / "kept.csv")]
    assert main(argv) == main(argv) == 0
    assert capsys.readouterr().out.splitlines() == [
        f"{MACHINE.name}: four new runs, 0 on record already.",
        f"{MACHINE.name}: no new runs, 4 on record already.",
    ]
    with open_records().store as store:
        runs = store.runs()
        assert [run.created[:10] for run in runs] == [f"2024-0{month}-01" for month in (4, 3, 2, 1)]
        assert {run.procedure for run in runs} == {"import"}
        assert not any(run.status == "proven" for run in runs)
        assert store.whole(runs[0].id).rounds[0].readings["front left"] == Reading(0.19, 0.19)
    assert main(["history", "drift"]) == 0
    told = capsys.readouterr().out
    assert "Support front left (+ is sunk): drifts, +0.01" in told
    assert told.startswith("Recheck now: "), "the last run was long ago"


def test_a_corrected_file_is_told_to_stand_beside_the_first(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    for gap in ("0.15", "0.16"):
        (tmp_path / "kept.csv").write_text(f"date,point,gap_mm,by\n2024-03-01,centre,{gap},me\n")
        assert main(["history", "import", "three-point-225", str(tmp_path / "kept.csv")]) == 0
    told = capsys.readouterr().err
    assert told.count("columns not taken: by") == 2
    assert told.count("both stand: 2024-03-01 00:00") == 1


@pytest.mark.parametrize("data", [b"\xff\xfeno", b"\x81\x8d", b""])
def test_a_file_that_is_no_text_is_refused(
    data: bytes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    (tmp_path / "kept.csv").write_bytes(data)
    assert main(["history", "import", "three-point-225", str(tmp_path / "kept.csv")]) == 2
    assert "kept.csv: " in capsys.readouterr().err
    assert not (tmp_path / "runs").exists()
