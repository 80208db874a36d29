"""The home screen by keys: a machine, then a way to reach it, then the command that does it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from profiles.load import shipped
from profiles.machine import Machine
from wizard.apps.home import HomeApp, known_machines
from wizard.screens.home import HomeScreen, window
from wizard.widgets.page_words import Words
from wizard.widgets.title import Title

PORTS = (("/dev/ttyUSB0", ""), ("/dev/ttyUSB1", "it is in use by a program"))


@pytest.fixture
def home(machine: Machine) -> HomeApp:
    """Two machines, two ports, of which one cannot be opened."""
    machines = {"four-nuts": machine, "other": machine}
    return HomeApp(lambda: machines, lambda: PORTS, is_unfinished=lambda _name: False)


@pytest.mark.parametrize(
    ("keys", "argv"),
    [
        (["enter", "enter"], ("demo", "four-nuts")),
        (["down", "enter", "enter"], ("demo", "other")),
        (["2", "enter", "2", "enter"], ("level", "other", "--port", "/dev/ttyUSB0")),
        (["enter", "5", "enter"], ("level", "four-nuts", "--hand")),
        (["enter", "up", "up", "enter"], ("survey", "four-nuts", "--port", "/dev/ttyUSB0")),
        (
            ["enter", "4", "enter", *"socket://[::1]:7x", "enter"],
            ("level", "four-nuts", "--port", "socket://[::1]:7x"),
        ),
        (["down", "enter", "escape", "up", "enter", "enter"], ("demo", "four-nuts")),
    ],
)
async def test_what_is_picked_is_a_command_line(
    home: HomeApp, keys: list[str], argv: tuple[str, ...]
) -> None:
    async with home.run_test() as pilot:
        await pilot.press(*keys)
        assert home.return_value is not None
        assert home.return_value.argv == argv


async def test_a_port_that_cannot_be_opened_says_why_instead(home: HomeApp) -> None:
    async with home.run_test() as pilot:
        await pilot.press("enter", "3", "enter")
        assert home.return_value is None
        assert "in use by a program" in str(home.screen.query_one("#body", Words).render())


async def test_a_machine_of_ones_own_is_typed_as_a_file(home: HomeApp, tmp_path: Path) -> None:
    own = tmp_path / "x.toml"
    own.write_bytes(shipped()["three-point-225"].read_bytes())
    async with home.run_test() as pilot:
        await pilot.press("3", "enter", *str(own), "enter", "enter")
        assert home.return_value is not None
        assert home.return_value.argv == ("demo", str(own))


async def test_a_file_that_is_no_machine_is_refused_in_place(home: HomeApp) -> None:
    async with home.run_test() as pilot:
        await pilot.press("up", "up", "enter", *"no.toml", "enter")
        assert home.return_value is None
        assert "no.toml" in str(home.screen.query_one("#body", Words).render())
        await pilot.press("escape", "enter")
        assert home.screen.query_one(Title).sentence == "Type the file, then Enter."


async def test_an_unfinished_job_is_offered_first(machine: Machine) -> None:
    home = HomeApp(
        lambda: {"four-nuts": machine}, lambda: (), is_unfinished=lambda name: name == machine.name
    )
    async with home.run_test() as pilot:
        await pilot.press("enter", "enter")
        assert home.return_value is not None
        assert home.return_value.argv == ("level", "four-nuts", "--resume")


async def test_leaving_picks_nothing(home: HomeApp) -> None:
    async with home.run_test() as pilot:
        await pilot.press("q")
    assert home.return_value is None


async def test_there_is_nothing_to_stop(home: HomeApp) -> None:
    async with home.run_test() as pilot:
        await pilot.press("x", "f1", "x", "escape", "x")
        assert isinstance(home.screen, HomeScreen)
        assert home.screen.query_one(Title).sentence == "Which machine is it?"


async def test_it_opens_with_the_machines_that_are_shipped() -> None:
    home: Any = HomeApp(find_ports=lambda: ())
    async with home.run_test() as pilot:
        await pilot.press("enter", "enter")
        assert home.return_value.profile == next(iter(known_machines()))


def test_a_person_s_own_profiles_are_offered_and_those_that_cannot_be_used_are_not(tmp_path: Path) -> None:
    """The folder of own profiles is that of the settings, which no test shares with the person."""
    own = tmp_path / "profiles"
    own.mkdir()
    text = shipped()["three-point-225"].read_text("utf-8")
    (own / "mine.toml").write_text(text.replace("Three screws", "My three screws", 1), encoding="utf-8")
    (own / "broken.toml").write_text("format = 1", encoding="utf-8")
    machines = known_machines()
    assert machines.keys() == {*shipped(), "mine"}
    assert machines["mine"].name.startswith("My three screws")


@pytest.mark.parametrize(
    ("count", "at", "room", "shown"),
    [
        (8, 0, 10, (0, 8)),
        (20, 0, 6, (0, 6)),
        (20, 19, 6, (14, 20)),
        (20, 9, 6, (6, 12)),
        (3, 1, 0, (0, 3)),
        (0, 0, 9, (0, 0)),
    ],
)
def test_of_a_long_list_the_part_around_the_chosen_entry_is_shown(
    count: int, at: int, room: int, shown: tuple[int, int]
) -> None:
    near = window(count, at, room)
    assert (near.start, near.stop) == shown


async def test_the_last_of_many_machines_is_on_the_screen_when_it_is_chosen(machine: Machine) -> None:
    machines = {f"machine-{nth}": machine for nth in range(30)}
    app = HomeApp(lambda: machines, lambda: (), is_unfinished=lambda _name: False)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("up", "up", "up")
        told = app.screen.query_one("#choices").render().plain
        assert "machine-29" in told
        assert "of 32" in told
        assert app.screen.query_one("#choices").region.bottom <= app.screen.query_one("#side").region.bottom
