"""A small plate on shims, the nozzle height by one screw at the endstop: whole jobs by a virtual operator."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from profiles.load import load, shipped
from tests.journeys.person import TURN, Person
from tests.journeys.program import Page
from wizard.instructions import finding_lines
from wizard.requests import AskSheet, TurnEndstop

KIND = "endstop-screw-120"


class AtShimsAndScrew(Person):
    """A person who can also lay sheets under the mounts and turn the screw at the endstop."""

    def _told_turns(self, page: Page) -> dict[str, float]:
        text = f"{page.title} {page.body}"
        turns = super()._told_turns(page)
        if screw := re.search(rf"(endstop screw): {TURN.pattern}", text):
            _, whole, top, bottom, way = screw.groups()
            amount = int(whole or 0) + int(top) / int(bottom or 1)
            turns["endstop screw"] = amount if way == "clockwise" else -amount
        for each in self.machine.adjuster:
            if told := re.search(rf"{each.name}: (add|take out|remove) (\d+) sheet", text):
                turns[each.name] = int(told[2]) * (1 if told[1] == "add" else -1)
        return turns


def asked(tmp_path: Path, kind: type) -> list[Any]:
    """Return the requests of a kind that the job's journal holds, in order."""
    from wizard.journal.writing import reopen

    journal = reopen(next(tmp_path.glob("*.jsonl")))
    journal.close()
    return [step.request for step in journal.record.steps if isinstance(step.request, kind)]


@pytest.mark.parametrize("seed", range(1, 11))
def test_the_plate_and_the_height_come_truly_within_tolerance(
    alone: Callable[..., Any], tmp_path: Path, seed: int
) -> None:
    """The truth is the simulated plate's own, which the solver never sees."""
    done, bed = alone(KIND, seed)
    assert (done.outcome.finding.verdict, done.outcome.proven) == ("within", True)
    assert done.true_worst_deviation_mm <= bed.tolerance_mm
    assert bed.printer.record.violations == []
    assert len(asked(tmp_path, AskSheet)) <= 1


def unknown_way(tmp_path: Path) -> str:
    """Return the profile with an endstop screw whose direction is not known."""
    profile = tmp_path / "unknown.toml"
    head, _, screw = shipped()[KIND].read_text().partition("[height.screw]")
    profile.write_text(
        head + "[height.screw]" + screw.replace('clockwise = "raises"', 'clockwise = "unknown"')
    )
    return str(profile)


@pytest.mark.parametrize("seed", [1, 3, 5, 8])
def test_a_screw_of_unknown_direction_and_pitch_is_learnt_by_its_first_turn(
    alone: Callable[..., Any], tmp_path: Path, seed: int
) -> None:
    """The first turn is a small try; by the third the height is right to half a step of the screw."""
    done, bed = alone(unknown_way(tmp_path), seed)
    turns = asked(tmp_path, TurnEndstop)
    assert abs(turns[0].turns) <= 0.25
    assert turns[0].u_mm > abs(turns[0].change_mm)
    assert all(turn.u_mm < abs(turn.change_mm) for turn in turns[1:2])
    assert done.outcome.proven
    assert done.true_worst_deviation_mm <= bed.tolerance_mm
    assert bed.printer.record.violations == []


def test_tries_go_on_while_the_gap_stays_beyond_every_leaf(alone: Callable[..., Any], tmp_path: Path) -> None:
    """This bed is found so low that a quarter turn either way shows no difference."""
    done, bed = alone(unknown_way(tmp_path), 2)
    first, second = asked(tmp_path, TurnEndstop)[:2]
    assert second.turns * first.turns < 0
    assert abs(second.turns) > abs(first.turns)
    assert done.outcome.proven
    assert done.true_worst_deviation_mm <= bed.tolerance_mm
    assert bed.printer.record.violations == []


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_bowed_plate_is_named_with_its_figure(alone: Callable[..., Any], seed: int) -> None:
    """The bow of such a plate is drawn with 0.12 to 0.20 mm of height along each axis."""
    done, bed = alone(KIND, seed, "bowed")
    finding = done.outcome.finding
    assert finding.status == "not-by-adjusters"
    assert not done.outcome.proven
    told = " ".join(finding_lines(finding, bed.printer.machine))
    assert "The plate is bowed by" in told
    assert "no adjustment removes this" in told


@pytest.mark.parametrize("seed", [2, 5])
def test_from_the_first_typed_word_to_the_proof(
    bed: Callable[..., Any], level: Callable[..., Any], seed: int
) -> None:
    """A program of its own over a line, read and answered by typed words."""
    there = bed(KIND, seed)
    somebody = AtShimsAndScrew(load(KIND), there.hands, "card")
    assert somebody.do(level(there, KIND)) == 0
    assert any("endstop screw" in turns for turns in somebody.turned)
    assert any("endstop screw" not in turns for turns in somebody.turned)
    assert there.worst_mm <= there.tolerance_mm
    assert there.printer.record.violations == []
