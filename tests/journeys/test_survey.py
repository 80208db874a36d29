"""`survey`: measure only. By line, by hand, taken up after a kill, and alone on beds of several kinds."""

from __future__ import annotations

import asyncio
import json
import signal
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from drivers.simulated import BareNozzle
from drivers.simulated.plate import Plate
from profiles.load import load
from tests.journeys.test_by_hand import AtTheMenu
from wizard.facts import Facts
from wizard.instructions.surveying import survey_sentences
from wizard.journal.lines import Header
from wizard.journal.writing import start
from wizard.running.assembly import Assembly
from wizard.virtual.job import Done, do_alone

SPEED = 5000.0
HOMING_MM = 0.02
"""Three standard deviations of a simulated homing: by so much all gaps of a survey may be off together."""


def told(program: Any) -> dict[str, Any]:
    """Return the JSON object that a program has printed at its end."""
    said = program.said
    found: dict[str, Any] = json.loads("\n".join(said[said.index("{") : said.index("}") + 1]))
    return found


def is_untouched(plate: Plate) -> bool:
    return not any(plate.turns.values()) and plate.offset_mm == 0.0 and not (plate.grid and plate.grid.active)


def agrees(gaps: dict[str, Any], plate: Plate) -> bool:
    """Tell whether gaps with their uncertainties fit the plate's own."""
    truth = plate.true_gaps(plate.machine, plate.machine.measuring_height_mm)
    return all(
        abs(gaps[name]["gap_mm"] - true_mm) <= 3.0 * gaps[name]["u_mm"] + HOMING_MM
        for name, true_mm in truth.items()
    )


def test_by_line_the_gaps_are_told_and_nothing_is_turned(
    run: Callable[..., Any], bed: Callable[..., Any], person: Callable[..., Any]
) -> None:
    there = bed("three-point-225", 3)
    program = run(
        "survey", "three-point-225", "--port", there.server.url, "--plain", "--json", "--speed", SPEED
    )
    assert person("three-point-225", there.hands).do(program) == 1
    result = told(program)
    assert (result["format"], result["verdict"], result["proven"]) == (
        "tramwright-survey/1",
        "outside",
        False,
    )
    assert agrees(result["finding"]["points"], there.printer.plate)
    assert is_untouched(there.printer.plate)
    assert there.printer.record.violations == []


def test_killed_and_taken_up_it_keeps_every_answer(
    run: Callable[..., Any], bed: Callable[..., Any], person: Callable[..., Any], tmp_path: Path
) -> None:
    there = bed("four-corner-220", 2)
    argv = ("survey", "four-corner-220", "--port", there.server.url, "--plain", "--speed", SPEED)
    program, hands = run(*argv), person("four-corner-220", there.hands)
    for _ in range(9):
        program.type(hands.answer(program.question()))
    program.until("-> ")
    program.signal(signal.SIGKILL)
    assert program.ends() == -signal.SIGKILL
    (journal,) = (tmp_path / "runs").glob("*.jsonl")
    kept = journal.read_bytes().rpartition(b"\n")[0]
    assert hands.do(run(*argv, "--resume")) == 1
    assert journal.read_bytes().startswith(kept)
    assert is_untouched(there.printer.plate)
    assert there.printer.record.violations == []


def test_by_hand_it_asks_to_move_and_read_and_for_nothing_else(run: Callable[..., Any]) -> None:
    machine = load("four-corner-220")
    at_the_menu = AtTheMenu(machine, BareNozzle(Plate(machine, 7)), 7)
    program = run("survey", "four-corner-220", "--hand", "--plain", "--json", "--speed", SPEED)
    assert at_the_menu.do(program) == 1
    assert agrees(told(program)["finding"]["points"], at_the_menu.nozzle.plate)
    assert at_the_menu.turned == []
    assert at_the_menu.deepest_mm > 0.0
    assert at_the_menu.did[-2:] == ["lifted", "both are off"]


@pytest.fixture
def surveyed(bed: Callable[..., Any], tmp_path: Path) -> Callable[..., tuple[Done, Any]]:
    """Let the virtual operator survey a bed in this process, as `demo --survey --auto` does."""

    def do(profile: str, seed: int, start_as: str) -> tuple[Done, Any]:
        there = bed(profile, seed, start_as)
        machine = there.printer.machine
        journal = start(Header("survey", machine, port=there.server.url), tmp_path)
        facts = Facts(machine, simulated=True)
        assembly = Assembly(facts=facts, journal=journal, source=there.server.url, speed=SPEED)
        return asyncio.run(do_alone(there.printer, seed, assembly, lambda _: None)), there

    return do


@pytest.mark.parametrize(
    "kind", ["endstop-screw-120", "four-corner-220", "three-point-225", "touch-probe-255"]
)
def test_a_level_bed_is_found_so_on_any_kind_of_machine(
    surveyed: Callable[..., tuple[Done, Any]], kind: str
) -> None:
    done, there = surveyed(kind, 4, "level")
    finding = done.outcome.finding
    assert finding is not None
    gaps = {name: {"gap_mm": p.gap_mm, "u_mm": p.u_mm} for name, p in finding.points.items()}
    assert agrees(gaps, there.printer.plate)
    assert is_untouched(there.printer.plate)
    assert done.turns == 0


@pytest.mark.parametrize("kind", ["endstop-screw-120", "four-corner-220"])
def test_a_bowed_plate_is_named_with_its_figure(surveyed: Callable[..., tuple[Done, Any]], kind: str) -> None:
    done, there = surveyed(kind, 1, "bowed")
    finding = done.outcome.finding
    assert finding is not None
    sentences = " ".join(survey_sentences(finding, there.printer.machine))
    assert "The plate is bowed by" in sentences
    assert "no adjustment removes this" in sentences
    assert not done.outcome.proven
