"""Wing nuts under four corners, and three screws: by line, and what the person is told of them."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from profiles.load import load, shipped
from wizard.facts import Facts
from wizard.instructions import page
from wizard.journal.lines import Header
from wizard.journal.writing import start
from wizard.requests import ShowResult, Turn
from wizard.running.assembly import Assembly
from wizard.virtual.job import do_alone


@pytest.mark.parametrize("kind", ["four-corner-220", "three-point-225"])
@pytest.mark.parametrize("seed", [1, 2])
def test_a_bowed_plate_is_called_so_or_truly_within(alone: Callable[..., Any], kind: str, seed: int) -> None:
    """A bow of some tenths is more than any screw removes; the truth is the simulated plate's own."""
    done, bed = alone(kind, seed, "bowed")
    finding = done.outcome.finding
    assert finding.status == "not-by-adjusters"
    assert done.true_worst_deviation_mm > bed.tolerance_mm
    assert bed.printer.record.violations == []


def test_thumb_wheels_are_only_a_remark_at_the_end(alone: Callable[..., Any]) -> None:
    done, bed = alone("four-corner-220", 1)
    machine = bed.printer.machine
    told = " ".join(page(ShowResult(done.outcome.finding, 2, proven=True), Facts(machine)).body)
    assert "Thumb wheels" in told
    three = load("three-point-225")
    told = " ".join(page(ShowResult(done.outcome.finding, 2, proven=True), Facts(three)).body)
    assert "Thumb wheels" not in told


def test_on_three_supports_a_turn_is_told_as_tipping(alone: Callable[..., Any]) -> None:
    done, bed = alone("three-point-225", 1)
    finding = done.outcome.finding
    turn = Turn({"front left": 0.25, "back middle": -0.125}, 1, coarse=False, finding=finding)
    told = " ".join(page(turn, Facts(bed.printer.machine)).body)
    assert "tips the plate about the line through the other two" in " ".join(told.split())


def test_three_supports_are_never_explained_by_corners(bed: Callable[..., Any], tmp_path: Path) -> None:
    """Whatever a whole job says, from the first page to the last, speaks of supports, points and edges."""
    there = bed("three-point-225", 2)
    machine, said = there.printer.machine, list[str]()
    journal = start(Header("level", machine, port=there.server.url), tmp_path)
    facts = Facts(machine, simulated=True)
    assembly = Assembly(facts=facts, journal=journal, source=there.server.url, speed=5000.0)
    done = asyncio.run(do_alone(there.printer, 2, assembly, said.append))
    assert done.outcome.proven
    text = "\n".join(said).lower()
    assert "tips the plate" in " ".join(text.split())
    assert "corner" not in text


def test_a_machine_described_in_inches_is_levelled_as_well(alone: Callable[..., Any], tmp_path: Path) -> None:
    """Forty threads per inch, leaves and card marked in thousandths."""
    profile = tmp_path / "inches.toml"
    told = {"leaves_mm": "leaves_thou = [2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 15, 18, 20, 25, 30, 35]"}
    told |= {"card_mm": "card_thou = 4", "thread": "threads_per_inch = 40"}
    lines = shipped()["four-corner-220"].read_text().splitlines()
    profile.write_text("\n".join(told.get(line.partition(" = ")[0], line) for line in lines))
    done, bed = alone(str(profile), 1)
    assert bed.printer.machine.adjuster[0].threads_per_inch == 40.0
    assert done.outcome.proven
    assert done.true_worst_deviation_mm <= bed.tolerance_mm
