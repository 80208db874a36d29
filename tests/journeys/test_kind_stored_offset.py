"""A fixed plate, its nozzle height a number in the machine, its form followed by software."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from drivers.errors import PrinterFault
from drivers.simulated.abilities import StoredOffset
from profiles.load import shipped
from wizard import requests as ask
from wizard.commands.demo_recheck import recheck_of
from wizard.facts import Facts
from wizard.journal.files import read_lines
from wizard.journal.lines import Header
from wizard.journal.moment import now_utc
from wizard.journal.writing import reopen, start
from wizard.records.bases import base_of
from wizard.records.details import changes
from wizard.records.run import whole_of
from wizard.report.content import report_of
from wizard.running.assembly import Assembly
from wizard.virtual.job import do_alone

KIND = "stored-offset-140"


def requests(tmp_path: Path) -> list[Any]:
    """Return the requests that the job's journal holds, in order."""
    journal = reopen(next(tmp_path.glob("*.jsonl")))
    journal.close()
    return [step.request for step in journal.record.steps]


@pytest.mark.parametrize("seed", range(1, 6))
def test_height_and_grid_are_set_kept_and_proven_at_other_points(
    alone: Callable[..., Any], tmp_path: Path, seed: int
) -> None:
    """Set, stored, read back, the grid verified at five points, and read back after a restart."""
    done, bed = alone(KIND, seed)
    assert (done.outcome.finding.verdict, done.outcome.proven) == ("within", True)
    assert done.true_worst_deviation_mm <= bed.tolerance_mm
    assert bed.printer.record.violations == []
    asked = requests(tmp_path)
    kinds = [type(each) for each in asked]
    first = kinds.index(ask.SetHeight)
    assert kinds[first - 1 : first + 3] == [ask.ReadHeight, ask.SetHeight, ask.Store, ask.ReadHeight]
    assert ask.Confirm("restart-machine") in asked
    assert kinds[-3:-1] == [ask.Reconnect, ask.ReadHeight]
    assert asked[-2].expect_mm is not None
    grid = kinds.index(ask.FollowGrid)
    assert len(asked[grid].values) == 9
    felt = {each.point for each in asked[grid:] if isinstance(each, ask.Feel)}
    assert felt == {point.name for point in bed.printer.machine.compensation.check}


@pytest.mark.parametrize("seed", [2, 5, 9])
def test_a_bowed_plate_is_followed_until_it_is_truly_within(alone: Callable[..., Any], seed: int) -> None:
    """Bowed by some tenths the plate is outside; what a grid of nine leaves lies inside the tolerance.

    That it is also proven is not asked for: what a bilinear grid leaves may be too near the limit.
    """
    done, bed = alone(KIND, seed, "bowed")
    assert done.true_worst_deviation_mm <= bed.tolerance_mm
    assert done.outcome.finding.verdict in ("within", "undecided")
    assert bed.printer.record.violations == []


def test_a_machine_without_commands_for_it_gets_its_grid_typed_in(
    alone: Callable[..., Any], tmp_path: Path
) -> None:
    profile = tmp_path / "menu.toml"
    lines = shipped()[KIND].read_text().splitlines()
    words = ('set_command = "M174', "activate_command", 'read_command = "M176', "reply = 'kept")
    profile.write_text("\n".join(line for line in lines if not line.startswith(words)))
    done, bed = alone(str(profile), 3)
    typed = [each for each in requests(tmp_path) if isinstance(each, ask.EnterGrid)]
    assert len(typed) == 1
    assert len(typed[0].values) == 9
    assert done.outcome.proven
    assert done.true_worst_deviation_mm <= bed.tolerance_mm


@pytest.mark.parametrize("lost", ["at once", "at the restart"])
def test_a_number_that_is_not_kept_is_a_fault(
    bed: Callable[..., Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, lost: str
) -> None:
    there = bed(KIND, 1)
    machine = there.printer.machine
    offset = next(a for a in there.printer.firmware.interpreter.abilities if isinstance(a, StoredOffset))
    if lost == "at once":
        answer = offset.answer

        def forgetful(call: Any) -> Any:
            said = answer(call)
            if call.block.code == "M172":
                there.printer.plate.offset_mm = 0.0
            return said

        monkeypatch.setattr(offset, "answer", forgetful)
    else:
        monkeypatch.setattr(offset, "power_up", lambda: setattr(there.printer.plate, "offset_mm", 0.0))
    journal = start(Header("level", machine, port=there.server.url), tmp_path)
    assembly = Assembly(
        facts=Facts(machine, simulated=True), journal=journal, source=there.server.url, speed=5000.0
    )
    with pytest.raises(PrinterFault, match=r"not the .* mm that was set"):
        asyncio.run(do_alone(there.printer, 1, assembly, lambda _: None))


def test_a_recheck_follows_the_grid_again_that_a_restart_has_switched_off(
    alone: Callable[..., Any], bed: Callable[..., Any], tmp_path: Path
) -> None:
    """What the last proven run was made with holds for the readings that are compared with it."""
    _, before = alone(KIND, 2, "bowed")
    path = next(tmp_path.glob("*.jsonl"))
    base = base_of(whole_of(path.name, read_lines(path)), now_utc())
    assert base.followed
    assert len(base.grid) == 9
    later = bed(KIND, 2, "bowed")
    later.printer.plate.take_over(before.printer.plate)
    assert later.worst_mm > later.tolerance_mm
    recheck = recheck_of(later.printer.machine, base, later.server.url, 5000.0, tmp_path / "later")
    done = asyncio.run(do_alone(later.printer, 2, recheck, lambda _: None))
    again = [each for each in requests(tmp_path / "later") if isinstance(each, ask.FollowAgain)]
    assert [each.values for each in again] == [base.grid]
    assert done.true_worst_deviation_mm <= later.tolerance_mm


def test_what_was_set_and_read_back_is_on_record(alone: Callable[..., Any], tmp_path: Path) -> None:
    """Height changes, the numbers of the grid, what the machine keeps, in the order in which it was done."""
    alone(KIND, 3)
    path = next(tmp_path.glob("*.jsonl"))
    whole = whole_of(path.name, read_lines(path))
    told = [row.what for row in changes(whole)]
    assert told[0] == "compensation switched off"
    assert told.index("stored nozzle height") < told.index("settings kept by the machine")
    assert any(what.startswith("compensation set, 9 numbers from ") for what in told)
    assert told[-2] == "compensation switched on"
    kept = whole.facts.rounds_read, told[-1]
    assert kept[0] == whole.run.rounds
    assert kept[1].startswith("stored nozzle height read back: ")
    said = " ".join(value for _, value in report_of(whole).changes)
    assert "read back" in said
    assert "compensation switched on" in said
