"""What the home screen tells of a machine's records, and the recheck that it offers then."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from profiles.machine import Machine
from wizard.apps.home import HomeApp
from wizard.history.standing import standing
from wizard.journal.lines import Header
from wizard.journal.writing import start
from wizard.requests import Connect, Connected, Outcome
from wizard.screens.home_choices import RECHECK_BY_HAND, Picked, Way, ways
from wizard.solver.finding import Finding

PORTS = (("/dev/ttyUSB0", ""), ("/dev/ttyUSB1", "in use"))


def test_a_recheck_is_offered_on_each_port_once_a_run_was_proven() -> None:
    offered = [way for way in ways(PORTS, False, True) if way.how == "recheck"]
    assert [(way.port, way.trouble) for way in offered] == list(PORTS)
    assert not any(way.how == "recheck" for way in ways(PORTS, False))
    assert [way for way in ways((), False, True) if way.how == "recheck"] == [RECHECK_BY_HAND]


def test_what_is_picked_is_the_command_that_does_the_same() -> None:
    assert Picked("mine.toml", Way("recheck", "", "/dev/ttyUSB0")).argv == (
        "recheck",
        "mine.toml",
        "--port",
        "/dev/ttyUSB0",
    )
    assert Picked("mine.toml", RECHECK_BY_HAND).argv == ("recheck", "mine.toml", "--hand")


async def test_the_record_stands_under_the_machine_and_the_recheck_in_the_list(machine: Machine) -> None:
    told: list[str] = []

    def on_record(name: str) -> str:
        told.append(name)
        return "Last proven 2026-03-01 10:00 UTC, 12 days ago."

    app: Any = HomeApp(
        lambda: {"four-nuts": machine},
        lambda: PORTS[:1],
        is_unfinished=lambda _name: False,
        is_proven=lambda name: name == machine.name,
        on_record=on_record,
    )
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "Last proven" in app.export_screenshot().replace("&#160;", " ")
        await pilot.press("enter")
        await pilot.pause()
        assert "recheck on /dev/ttyUSB0" in app.export_screenshot().replace("&#160;", " ")
        await pilot.press("5", "enter")
    assert app.return_value is not None
    assert app.return_value.argv == ("recheck", "four-nuts", "--port", "/dev/ttyUSB0")
    assert told == [machine.name]


async def test_how_a_machine_stands_is_told_whole_where_there_is_little_room(machine: Machine) -> None:
    """What the machine is gives way."""
    stands = "Last proven six days ago. Likely out of tolerance in about ten days: the support sinks. END"
    for count, whole in ((8, False), (2, True)):
        app: Any = HomeApp(
            lambda count=count: {f"machine-{n}": machine for n in range(count)},
            lambda: (),
            is_unfinished=lambda _name: False,
            on_record=lambda _name: stands,
        )
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            shown = app.export_screenshot().replace("&#160;", " ")
            assert "END" in shown
            assert ("Gap wanted" in shown) is whole


async def test_the_records_of_all_machines_are_the_last_of_the_list(machine: Machine) -> None:
    app: Any = HomeApp(lambda: {"four-nuts": machine}, lambda: (), is_unfinished=lambda _name: False)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("up", "enter")
    assert app.return_value is not None
    assert app.return_value.argv == ("history", "browse")


def filed(machine: Machine, procedure: str, *, proven: bool = False, simulated: bool = False) -> None:
    """File a run that has ended just now."""
    journal = start(Header(procedure, machine))
    journal.append(Connect(), Connected("x", {}, simulated=simulated))
    journal.finish(Outcome(Finding("within", "level"), 1, proven))
    journal.close()


def test_how_a_machine_stands_is_told_from_its_first_run_on(
    machine: Machine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    assert standing(machine.name) == ""
    filed(machine, "import")
    assert standing(machine.name).startswith("Not proven yet. Drift cannot be told yet")
    filed(machine, "level", proven=True, simulated=True)
    assert standing(machine.name).startswith("Last proven less than a day ago [simulated]. ")
    assert standing("another machine") == ""
