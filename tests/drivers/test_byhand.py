"""A machine moved by a person: the same envelope, no line."""

from __future__ import annotations

import pytest

from drivers.byhand import HandPrinter
from drivers.errors import MoveRefused
from profiles.machine import Point


@pytest.fixture
def asked():
    return []


@pytest.fixture
def printer(machine, asked):
    async def ask(what, point=None, z_mm=None, bed_c=None, nozzle_c=None):
        asked.append((what, point, z_mm, bed_c, nozzle_c))

    return HandPrinter(machine, ask)


async def test_a_job_by_hand_asks_for_each_motion_in_words_the_wizard_has(printer, asked, machine):
    identity = await printer.connect()
    await printer.warm(60.0, 0.0)
    await printer.home()
    await printer.park(machine.point[0], 0.2)
    await printer.lower(0.15)
    await printer.lift()
    await printer.cool()
    assert identity.line == "by hand"
    assert not identity.simulated
    assert asked == [
        ("heat", None, None, 60.0, 0.0),
        ("home", None, 5.0, None, None),
        ("park", "front left", 0.2, None, None),
        ("lower", "front left", 0.15, None, None),
        ("lift", None, 5.0, None, None),
        ("cool", None, None, None, None),
    ]


async def test_the_position_is_what_was_confirmed(printer, machine):
    seen = []
    printer.watch(seen.append, lambda record: None)
    await printer.connect()
    await printer.home()
    await printer.park(machine.point[1], 0.2)
    assert seen[-1].position_mm == (190.0, 30.0, 0.2)
    printer.stop()
    assert seen[-1].position_mm is None


async def test_nothing_is_asked_for_that_a_line_would_not_be_told(printer, asked, machine):
    await printer.connect()
    with pytest.raises(MoveRefused, match="before homing"):
        await printer.park(machine.point[0], 0.2)
    await printer.home()
    with pytest.raises(MoveRefused, match="outside the profile"):
        await printer.park(machine.point[0], -0.1)
    with pytest.raises(MoveRefused, match="no point"):
        await printer.park(Point(name="wild", at_mm=(1, 1)), 0.2)
    with pytest.raises(MoveRefused, match="outside the profile"):
        await printer.warm(200.0, 0.0)
    assert [what for what, *_ in asked] == ["home"]


async def test_cold_jobs_ask_for_no_heat_and_lifting_twice_asks_once(printer, asked):
    await printer.connect()
    await printer.warm(0.0, 0.0)
    await printer.home()
    await printer.lift()
    await printer.cool()
    assert [what for what, *_ in asked] == ["home"]


async def test_settings_cannot_be_sent_without_a_line(printer):
    for job in (printer.set_height(0.1), printer.store()):
        with pytest.raises(MoveRefused, match="Without a line"):
            await job


async def test_making_safe_asks_for_heaters_off_only(printer, asked, machine):
    await printer.connect()
    await printer.warm(60.0, 0.0)
    await printer.home()
    await printer.park(machine.point[0], 0.2)
    asked.clear()
    await printer.make_safe()
    await printer.close()
    assert [what for what, *_ in asked] == ["cool"]
