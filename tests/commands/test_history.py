"""`tramwright history`: what is on record, as text, JSON and CSV."""

from __future__ import annotations

import csv
import io
import json
import stat
from pathlib import Path

import pytest

from profiles.load import load
from wizard.__main__ import main
from wizard.journal.lines import Header
from wizard.journal.writing import start
from wizard.requests import (
    LEVEL_NOW,
    Chosen,
    Done,
    Lift,
    Outcome,
    ReadingTaken,
    ShowChange,
    TakeReading,
    Turn,
    Turned,
)
from wizard.rounds import Reading
from wizard.since.change import Change
from wizard.solver.finding import Finding, PointFinding

NAMES = ("four-corner-220", "three-point-225")


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A data folder with two runs of two machines, made a day apart."""
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    for day, name in enumerate(NAMES, 1):
        header = Header(
            "level", load(name), port="/dev/secret-host", created=f"2026-03-0{day}T10:00:00+00:00"
        )
        finding = Finding(
            "within", "level", points={"centre": PointFinding(0.1 + 0.02 * day, 0.008, 0.0, 0.15)}
        )
        journal = start(header, tmp_path / "runs")
        reading = ReadingTaken(Reading(0.15, 0.2, "leaf"))
        journal.append(TakeReading("centre", 0.2, 1, 1, 5, "first"), reading)
        journal.append(Lift(), Done())
        journal.append(Turn({"front left": -0.25}, 1, False, finding), Turned({"front left": -0.25}))
        journal.finish(Outcome(finding, 1, day == 1))
        journal.close()
    return tmp_path


def said(capsys: pytest.CaptureFixture[str], *argv: str, code: int = 0) -> str:
    assert main(["history", *argv]) == code
    return capsys.readouterr().out


def test_without_records_it_says_how_the_first_is_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    assert "makes the first" in said(capsys)
    assert json.loads(said(capsys, "--json")) == {"format": "tramwright-history/1", "runs": []}


def test_runs_are_listed_newest_first_and_by_machine(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    heading, newest, oldest = said(capsys).splitlines()
    assert "result" in heading
    assert "Three screws" in newest
    assert "not proven" in newest
    assert "Four sprung" in oldest
    assert len(said(capsys, "--machine", "four").splitlines()) == 2
    assert len(json.loads(said(capsys, "list", "--json"))["runs"]) == 2
    rows = list(csv.DictReader(io.StringIO(said(capsys, "--csv"))))
    assert [row["status"] for row in rows] == ["not proven", "proven"]


def test_a_run_is_shown_with_readings_turns_and_finding(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = said(capsys, "show", "last")
    assert "centre: 0.15 to 0.20 mm at Z 0.20" in text
    assert "turned front left: 0.25 turn anticlockwise" in text
    record = json.loads(said(capsys, "show", "last", "--json"))
    assert record["finding"]["verdict"] == "within"
    assert record["profile"]["name"] == load(NAMES[1]).name
    assert record["readings"][0]["low_mm"] == 0.15
    kinds = [row["kind"] for row in csv.DictReader(io.StringIO(said(capsys, "show", "last", "--csv")))]
    assert kinds == ["reading", "change", "gap"]


def test_the_last_run_of_a_machine_is_found_by_a_part_of_its_name(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for name in NAMES:
        assert f"Machine: {load(name).name}" in said(capsys, "show", "last", "--machine", load(name).name[:6])
    assert main(["history", "show", "last", "--machine", "five"]) == 2
    assert "no run 'last'" in capsys.readouterr().err


def test_two_runs_are_compared_the_earlier_first(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    newest, oldest = (run["id"] for run in json.loads(said(capsys, "--json"))["runs"])
    told = json.loads(said(capsys, "compare", newest, oldest, "--json"))
    assert (told["earlier"], told["later"]) == (oldest, newest)
    assert (told["same_profile"], told["same_machine"]) == (False, False)
    assert told["points"]["centre"]["change_mm"] == pytest.approx(0.02)
    assert told["points"]["centre"]["u_mm"] == pytest.approx(0.008 * 2**0.5)
    assert "two machines" in said(capsys, "compare", newest, oldest)


def test_a_run_is_not_compared_with_itself(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["history", "compare", "last", "last"]) == 2
    assert "One and the same run" in capsys.readouterr().err


def test_a_machine_that_is_not_on_record_is_said_not_to_be(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert "No runs of a machine with 'five'" in said(capsys, "--machine", "five")
    assert main(["history", "drift", "--machine", "five"]) == 2
    assert "'five'" in capsys.readouterr().err
    assert main(["history", "drift"]) == 2
    assert load(NAMES[0]).name in capsys.readouterr().err
    assert "cannot be told yet" in said(capsys, "drift", "--machine", "three screws")


def test_export_holds_every_run_and_no_port(
    home: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "out.json"
    assert said(capsys, "export", "-o", str(target)) == ""
    text = target.read_text()
    assert len(json.loads(text)["records"]) == 2
    assert "secret" not in text
    assert "secret" not in said(capsys, "export", "--csv")
    assert main(["history", "export", "-o", str(target)]) == 2
    assert "is there already" in capsys.readouterr().err


@pytest.mark.parametrize("argv", [("show",), ("show", "zz"), ("compare", "last"), ("list", "last")])
def test_wrong_runs_are_refused_with_a_sentence(
    home: Path, capsys: pytest.CaptureFixture[str], argv: tuple[str, ...]
) -> None:
    assert main(["history", *argv]) == 2
    assert capsys.readouterr().err.startswith("tramwright: ")


def test_words_are_added_to_a_run_at_any_time(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for text in ("plate turned round,", "  then glass put on \x1b[31m"):
        assert "Noted with the run" in said(capsys, "remark", "last", text)
    shown = said(capsys, "show", "last")
    assert "Remark: plate turned round,; then glass put on" in shown
    assert "\x1b" not in shown
    assert len(json.loads(said(capsys, "--json"))["runs"]) == 2
    assert json.loads(said(capsys, "show", "last", "--json"))["run"]["status"] == "not proven"


@pytest.mark.parametrize(
    "argv", [("remark", "last", "  "), ("remark", "zz", "a word"), ("remark", "last", "a", "b")]
)
def test_a_remark_that_cannot_be_noted_is_refused(
    home: Path, capsys: pytest.CaptureFixture[str], argv: tuple[str, ...]
) -> None:
    assert main(["history", *argv]) == 2
    assert capsys.readouterr().err.startswith("tramwright: ")


def test_a_run_that_a_session_writes_takes_no_remark_from_elsewhere(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    journal = start(Header("level", load(NAMES[0]), created="2026-04-01T10:00:00+00:00"), home / "runs")
    assert main(["history", "remark", "last", "a word"]) == 2
    assert "another session is writing this run" in capsys.readouterr().err
    journal.close()


def test_what_is_written_is_for_the_user_alone_and_never_over_another_file(
    home: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "all.csv"
    assert said(capsys, "export", "--csv", "-o", str(target)) == ""
    assert stat.S_IMODE(target.stat().st_mode) == 0o600
    before = target.read_bytes()
    assert main(["history", "-o", str(target)]) == 2
    assert "is there already" in capsys.readouterr().err
    assert target.read_bytes() == before


def test_what_moved_is_what_was_found_less_what_was_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A recheck finds one point wider by 0.10 mm, the other as it was, and leaves both as wanted."""
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    machine = load(NAMES[1])

    def finding(left_mm: float, centre_mm: float) -> Finding:
        each = {"front left": left_mm, "centre": centre_mm}
        return Finding("within", "level", points={n: PointFinding(g, 0.01, 0.0, g) for n, g in each.items()})

    left, found, now = finding(0.15, 0.15), finding(0.25, 0.16), finding(0.151, 0.149)
    journal = start(Header("level", machine, created="2026-03-01T10:00:00+00:00"), tmp_path / "runs")
    journal.finish(Outcome(left, 1, True))
    journal.close()
    journal = start(Header("recheck", machine, created="2026-03-09T10:00:00+00:00"), tmp_path / "runs")
    change = Change("tilt", 0.99, 0.05, 0.01, 8.0, ("centre",), found)
    journal.append(ShowChange(change, (LEVEL_NOW,)), Chosen(LEVEL_NOW))
    journal.finish(Outcome(now, 2, True))
    journal.close()
    rows = said(capsys, "compare", "last", json.loads(said(capsys, "--json"))["runs"][1]["id"]).splitlines()
    told = {row[:10].strip(): row.split()[-6:] for row in rows}
    assert told["front left"] == ["0.150", "0.250", "+0.100", "0.028", "yes", "0.151"]
    assert told["centre"] == ["0.150", "0.160", "+0.010", "0.028", "no", "0.149"]
    assert "On the whole the gap has opened by 0.055 mm." in rows
