"""`tramwright report`: one run as a file, in every form; the page asks no network and prints on one sheet."""

from __future__ import annotations

import csv
import getpass
import io
import json
import re
import shutil
import socket
import stat
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import msgspec
import numpy as np
import pytest

from profiles.load import load
from wizard.__main__ import main
from wizard.journal.lines import Header
from wizard.journal.writing import start
from wizard.report import drawing, surface
from wizard.requests import (
    Connect,
    Connected,
    Done,
    Lift,
    Outcome,
    ReadingTaken,
    SetHeight,
    TakeReading,
    Turn,
    Turned,
)
from wizard.rounds import Reading
from wizard.solver.finding import Finding, Learned, PointFinding

MACHINE = load("four-corner-220")
NASTY = "<b>brass</b> & 'steel' \x1b[31m"


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A data folder with one run of the four corners, and a nozzle's name that is markup."""
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    points = {
        p.name: PointFinding(0.15 + 0.01 * (n // 2), 0.008, 0.01 * (n // 2), 0.15)
        for n, p in enumerate(MACHINE.point)
    }
    learned = {"front left": Learned(-0.49, 0.02)}
    finding = Finding("within", "level", points=points, learned=learned)
    header = Header("level", MACHINE, port="/dev/secret-host", nozzle=NASTY, remark="after a move")
    journal = start(header, tmp_path / "runs")
    journal.append(Connect(), Connected("line", {"made by": "<script>"}, simulated=True))
    for n, point in enumerate(MACHINE.point):
        low_mm = 0.1 + 0.05 * n
        reading = Reading(low_mm, None if n == 2 else low_mm + 0.05, "leaf")
        journal.append(TakeReading(point.name, 0.2, 1, n + 1, 5, "first"), ReadingTaken(reading))
    journal.append(Lift(), Done())
    for _ in range(3):
        turns = dict.fromkeys([a.name for a in MACHINE.adjuster], -0.25)
        journal.append(Turn(turns, 1, False, finding), Turned(turns))
    journal.append(SetHeight(0.03), Done())
    journal.finish(Outcome(finding, 2, True))
    journal.close()
    return tmp_path


@pytest.fixture(params=["plain", "plotting library"], autouse=True)
def drawn_by(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Each page is made with plain pictures and with those of the plotting library."""
    if request.param == "plain":
        monkeypatch.setattr(drawing, "find_spec", lambda _: None)
    else:
        pytest.importorskip("matplotlib")
    return str(request.param)


def made(home: Path, name: str) -> str:
    target = home / name
    assert main(["report", "last", "-o", str(target)]) == 0
    return target.read_text(encoding="utf-8")


def test_the_page_asks_nothing_of_any_network_and_names_no_port(home: Path) -> None:
    page = made(home, "run.html")
    addresses = set(re.findall(r"\w+://[^\"'\s)]+", page))
    assert addresses == {"http://www.w3.org/2000/svg"}
    assert not re.search(r"<(script|link|img|iframe)|@import|url\((?!#)", page)
    assert "secret" not in page


def test_text_of_a_person_or_a_machine_stays_text(home: Path) -> None:
    page = made(home, "run.html")
    assert "&lt;b&gt;brass&lt;/b&gt;" in page
    assert "<script>" not in page
    assert "\x1b" not in page


def test_the_page_says_what_was_done_and_how_sure_it_is(home: Path) -> None:
    page = made(home, "run.html")
    for told in (
        "SIMULATED printer",
        "Levelling, ",
        "Proven.",
        "ISO 14253-1",
        "1/4 turn anticlockwise, seen from below",
        "nozzle +0.03 mm",
        "-0.490 mm for a clockwise turn, U=0.040 mm",
        "date, signature",
        "more than 0.20",
        "after a move",
    ):
        assert told in page, told


def numbers_in(svg: str) -> list[str]:
    """Return what is written at the points: by class, or by the name of the group that holds it."""
    root = ElementTree.fromstring(svg)
    plain = [e.text or "" for e in root.iter() if e.get("class") == "number"]
    groups = [e for e in root.iter() if "number-" in (e.get("id") or "")]
    return plain + ["".join(group.itertext()).strip() for group in groups]


def test_both_pictures_are_whole_and_carry_a_number_at_every_point(home: Path, drawn_by: str) -> None:
    before, after = re.findall(r"<svg.*?</svg>", made(home, "run.html"), re.DOTALL)
    assert ('class="plain"' in before) == (drawn_by == "plain")
    for drawn, numbers in ((before, len(MACHINE.point) - 1), (after, len(MACHINE.point))):
        texts = numbers_in(drawn)
        assert sum(bool(re.fullmatch(r"(?:[+-](?!0\.00))?0\.\d\d", text)) for text in texts) == numbers
        assert len(texts) == len(MACHINE.point)
    assert "not read" in numbers_in(before)


def test_no_two_parts_of_a_page_have_one_name(home: Path) -> None:
    """Also where two points have one deviation."""
    names = re.findall(r'\bid="([^"]+)"', made(home, "run.html"))
    assert len(names) == len(set(names))


def test_the_same_run_gives_the_same_page(home: Path) -> None:
    assert made(home, "one.html") == made(home, "two.html")


def test_a_plotting_library_that_cannot_be_loaded_is_done_without(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(drawing, "find_spec", lambda _: object())
    monkeypatch.setitem(sys.modules, "wizard.report.plots", None)
    assert made(home, "run.html").count('<svg class="plain"') == 2


def test_every_ending_gives_its_own_form(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert json.loads(made(home, "run.json"))["finding"]["verdict"] == "within"
    assert len(list(csv.DictReader(io.StringIO(made(home, "run.csv"))))) == 2 * len(MACHINE.point) + 13
    text = made(home, "run.txt")
    assert "checked by" in text
    assert main(["report", "last"]) == 0
    assert capsys.readouterr().out == text
    for argv in (["last", "-o", str(home / "x.pdf")], ["zz"], ["last", "-o", str(home / "run.txt")]):
        assert main(["report", *argv]) == 2


@pytest.fixture
def crowded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A data folder with a run of fourteen points, corrected three times at every adjuster."""
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    names = [*(p.name for p in MACHINE.point), *(f"between, number {n}" for n in range(14))][:14]
    points = {name: PointFinding(0.15, 0.008, 0.0, 0.15) for name in names}
    learned = {a.name: Learned(-0.49, 0.02) for a in MACHINE.adjuster}
    finding = Finding("within", "level", points=points, learned=learned)
    journal = start(Header("level", MACHINE, nozzle="brass", remark="after a move"), tmp_path / "runs")
    for n, point in enumerate(MACHINE.point, 1):
        asked = TakeReading(point.name, 0.2, 1, n, 5, "first")
        journal.append(asked, ReadingTaken(Reading(0.1, 0.2, "leaf")))
    for _ in range(5):
        turns = {a.name: -0.3125 for a in MACHINE.adjuster}
        journal.append(Turn(turns, 1, False, finding), Turned(turns))
    journal.finish(Outcome(finding, 6, True))
    journal.close()
    return tmp_path


@pytest.mark.skipif(shutil.which("chromium") is None, reason="needs a browser called chromium")
@pytest.mark.parametrize("records", ["home", "crowded"])
def test_it_is_printed_on_one_page(records: str, request: pytest.FixtureRequest) -> None:
    folder: Path = request.getfixturevalue(records)
    made(folder, "run.html")
    target = folder / "run.pdf"
    subprocess.run(
        [
            *("chromium", "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer"),
            *(f"--user-data-dir={folder / 'browser'}", f"--print-to-pdf={target}", str(folder / "run.html")),
        ],
        check=True,
        capture_output=True,
        timeout=100,
    )
    assert len(re.findall(rb"/Type\s*/Page\b", target.read_bytes())) == 1


def test_user_and_host_are_named_only_where_that_is_asked_for(
    home: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(getpass, "getuser", lambda: "lovelace")
    monkeypatch.setattr(socket, "gethostname", lambda: "engine-room")
    for ending in ("html", "txt", "json", "csv"):
        text = made(home, f"run.{ending}")
        assert "lovelace" not in text
        assert "engine-room" not in text
    assert main(["report", "last", "--names"]) == 0
    assert "reported by lovelace on engine-room" in capsys.readouterr().out


def test_a_report_is_for_the_user_alone(home: Path) -> None:
    made(home, "run.html")
    assert stat.S_IMODE((home / "run.html").stat().st_mode) == 0o600


def test_first_readings_are_told_as_before_the_height_was_set(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The nozzle was lowered by 0.30 mm after the first point: the second had stood 0.30 mm wider."""
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    points = {name: PointFinding(0.15, 0.008, 0.0, 0.15) for name in ("centre", "front left", "back right")}
    finding = Finding("within", "level", points=points)
    journal = start(Header("level", MACHINE), tmp_path / "runs")
    rounds = ((0.4, "centre"), (0.1, "front left"))
    for number, (low_mm, name) in enumerate(rounds, 1):
        asked = TakeReading(name, 0.2, number, 1, 1, "first")
        journal.append(asked, ReadingTaken(Reading(low_mm, low_mm + 0.05, "leaf")))
        journal.append(SetHeight(-0.3), Done())
    turns = {"front left": -0.25}
    journal.append(Turn(turns, 2, False, finding), Turned(turns))
    asked = TakeReading("back right", 0.2, 3, 1, 1, "first")
    journal.append(asked, ReadingTaken(Reading(0.1, 0.15, "leaf")))
    journal.finish(Outcome(finding, 3, True))
    journal.close()
    lines = {line.rpartition("  ")[0][:22].strip(): line for line in made(tmp_path, "run.txt").splitlines()}
    assert "0.40 to 0.45" in lines["centre"]
    assert "0.40 to 0.45" in lines["front left"]
    assert "not read" in lines["back right"]


def test_a_contour_of_a_tilted_plane_is_the_straight_line_that_it_has_to_be() -> None:
    """Deviation 0.001 x: the level 0.05 lies at x = 50 from front to back."""
    values = {p.name: 0.001 * p.at_mm[0] for p in MACHINE.point}
    xs, ys, grid = surface.grid(MACHINE, values)
    assert np.allclose(grid, 0.001 * xs[None, :], atol=1e-9)
    pieces = surface.contour(xs, ys, grid, 0.05)
    assert len(pieces) == len(ys) - 1
    assert all(abs(x - 50.0) < 1e-6 for piece in pieces for x, _ in piece)


def test_the_surface_goes_through_every_point() -> None:
    values = {p.name: 0.02 * (-1) ** n for n, p in enumerate(MACHINE.point)}
    xs, ys, grid = surface.grid(MACHINE, values)
    for point in MACHINE.point:
        column, row = np.abs(xs - point.at_mm[0]).argmin(), np.abs(ys - point.at_mm[1]).argmin()
        assert abs(grid[row, column] - values[point.name]) < 0.004


def test_a_round_plate_and_one_without_a_finding_have_a_page_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    bed = msgspec.structs.replace(
        MACHINE.bed, shape="round", size_mm=None, diameter_mm=220.0, origin_mm=(110.0, 110.0)
    )
    start(Header("level", msgspec.structs.replace(MACHINE, bed=bed)), tmp_path / "runs").close()
    page = made(tmp_path, "run.html")
    assert "broken off" in page
    assert "Nothing was read." in page


def test_a_run_that_was_broken_off_tells_what_was_read_and_judges_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    journal = start(Header("level", MACHINE), tmp_path / "runs")
    asked = TakeReading("centre", 0.2, 1, 1, 5, "first")
    journal.append(asked, ReadingTaken(Reading(0.1, 0.15, "leaf")))
    journal.close()
    (row,) = [line for line in made(tmp_path, "run.txt").splitlines() if line.startswith("centre")]
    assert "0.10 to 0.15" in row
    assert "not judged" in row


def test_what_an_adjuster_does_is_told_only_of_those_that_were_turned(home: Path) -> None:
    """Of the others the solver knows what the description says, and has learnt nothing."""
    finding = Finding("undecided", "measure-again", learned={"front left": Learned(-0.5, 0.03)})
    journal = start(Header("import", MACHINE), home / "runs")
    journal.finish(Outcome(finding, 1, False))
    journal.close()
    text = made(home, "run.txt")
    assert "To be measured" in text
    assert "ADJUSTERS" not in text
