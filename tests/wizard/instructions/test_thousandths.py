"""Lengths told in thousandths of an inch, beside mm, where that is asked for."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest

from profiles.load import load
from profiles.machine import Machine
from wizard import requests as ask
from wizard.config import thou_wanted
from wizard.exits import InputRefused
from wizard.facts import Facts
from wizard.instructions import page
from wizard.instructions.fitting import MOST_LINES, TITLE_WIDTH, WIDEST_BODY, cells
from wizard.instructions.thousandths import beside, cell_beside, thou
from wizard.journal.lines import End, Header, Step
from wizard.records.run import whole_of
from wizard.report.content import report_of
from wizard.report.thousandths import report_beside
from wizard.rounds import Reading
from wizard.solver import solve

FOUR = load("four-corner-220")
READ = ask.TakeReading("centre", 0.2, 1, 1, 5, "first", 0.15)


@pytest.mark.parametrize(
    ("mm", "told"), [(0.0254, "1"), (0.15, "5.9"), (-0.05, "-2"), (0.1524, "6"), (0.0, "0")]
)
def test_a_thou_is_a_thousandth_of_an_inch(mm: float, told: str) -> None:
    """One inch is 25.4 mm exactly."""
    assert thou(mm) == told


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Nozzle at Z 0.20 mm.", "Nozzle at Z 0.20 mm (7.9 thou)."),
        ("gap 0.10 to 0.15 mm", "gap 0.10 to 0.15 mm (3.9 to 5.9 thou)"),
        ("0.15 +/- 0.05 mm", "0.15 +/- 0.05 mm (5.9 +/- 2 thou)"),
        ("moved +0.25 mm", "moved +0.25 mm (+9.8 thou)"),
        ("Start with the 0.152 leaf.", "Start with the 0.152 leaf (6 thou)."),
        ("rises 0.86 mm/m", "rises 0.86 mm/m"),
        ("plate 220 mm", "plate 220 mm"),
        ("at X 112.5 mm", "at X 112.5 mm"),
        ("version 0.20 beta", "version 0.20 beta"),
    ],
)
def test_lengths_that_a_gauge_could_tell_are_told_in_both(text: str, told: str) -> None:
    assert beside(text) == told


def test_a_cell_keeps_its_words() -> None:
    assert cell_beside("0.10 to 0.15 (early)") == "0.10 to 0.15 (early) (3.9 to 5.9)"
    assert cell_beside("not read") == "not read"


def test_a_page_tells_them_where_asked_for_or_where_the_leaves_are_marked_in_them() -> None:
    gauge = msgspec.structs.replace(FOUR.gauge, leaves_thou=(2.0, 4.0, 6.0, 8.0), leaves_mm=())
    in_thou = msgspec.structs.replace(FOUR, gauge=gauge)
    for facts, wanted in ((Facts(FOUR), False), (Facts(FOUR, thou=True), True), (Facts(in_thou), True)):
        assert ("(5.9 thou)" in " ".join(page(READ, facts).body)) is wanted


def test_every_page_still_fits(
    machine: Machine, make_requests: Callable[[Machine], tuple[ask.AnyRequest, ...]]
) -> None:
    for request in make_requests(machine):
        shown, plain = page(request, Facts(machine, thou=True)), page(request, Facts(machine))
        assert cells(shown.title) <= max(TITLE_WIDTH, cells(plain.title))
        assert len(shown.body) <= max(MOST_LINES, len(plain.body))
        assert all(cells(line) <= WIDEST_BODY for line in shown.body)
        assert {choice.key for choice in shown.choices} == {choice.key for choice in plain.choices}


def test_a_report_tells_them_beside() -> None:
    reading = Reading(0.20, 0.25, "leaf")
    steps = [
        Step(ask.TakeReading(p.name, 0.2, 1, 1, 5, "first"), ask.ReadingTaken(reading)) for p in FOUR.point
    ]
    finding = solve(FOUR, whole_of("x", [Header("level", FOUR), *steps]).rounds)
    whole = whole_of("x", [Header("level", FOUR), *steps, End(ask.Outcome(finding, 1, False), "")])
    report = report_beside(report_of(whole))
    assert report.points[0].before == "0.20 to 0.25 (7.9 to 9.8)"
    assert "Wanted: gap 0.15 mm (5.9 thou) at Z 0.20 mm (7.9 thou)" in " ".join(report.about)


def test_the_settings_can_want_them(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    assert not thou_wanted()
    (tmp_path / "config.toml").write_text("[show]\nthousandths = true\n")
    assert thou_wanted()


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[show]\nthousandths = 1\n", "line 2: thousandths is true or false"),
        ("[show]\ninches = true\n", "[show] has no 'inches'; there is thousandths"),
        ("show = true\n", "write [show]"),
    ],
)
def test_settings_that_cannot_be_used_are_refused_with_their_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str, told: str
) -> None:
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    (tmp_path / "config.toml").write_text(text)
    with pytest.raises(InputRefused) as refused:
        thou_wanted()
    assert told in str(refused.value)
