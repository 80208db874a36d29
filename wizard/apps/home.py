"""The home screen on a terminal: its result is what was picked."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from profiles.load import load
from profiles.machine import Machine
from wizard.apps.base import TramwrightApp
from wizard.keymap import USUAL, KeyMap
from wizard.screens.home import HomeScreen, nothing_on_record
from wizard.screens.home_choices import Picked
from wizard.screens.home_desk import FindPorts, HomeDesk
from wizard.widgets.marks import FULL, Marks
from wizard.widgets.theme import DARK


def known_machines() -> dict[str, Machine]:
    """Return the machines that can be used: those that come with the program, and the person's own."""
    from profiles.load import found, problems

    return {name: load(name) for name in found() if not problems(name)}


def ports_found() -> tuple[tuple[str, str], ...]:
    """Return (device, why it cannot be opened) of each serial port."""
    from drivers.ports import find_ports

    return tuple((port.device, port.trouble) for port in find_ports())


def has_unfinished(machine_name: str) -> bool:
    """Whether a job of the machine of that name was broken off."""
    from wizard.journal.runs import newest_unfinished

    return newest_unfinished(machine_name) is not None


class HomeApp(TramwrightApp[Picked]):
    """Asks which machine and how it is reached."""

    def __init__(
        self,
        machines: Callable[[], Mapping[str, Machine]] = known_machines,
        find_ports: FindPorts = ports_found,
        *,
        is_unfinished: Callable[[str], bool] = has_unfinished,
        is_proven: Callable[[str], bool] = lambda _name: False,
        on_record: Callable[[str], str] = nothing_on_record,
        marks: Marks = FULL,
        theme: str = DARK.name,
        keys: KeyMap = USUAL,
    ) -> None:
        super().__init__(marks, theme, keys)
        self.actions = tuple(each for each in self.actions if each.name != "stop_job")  # there is no job
        desk = HomeDesk(machines(), find_ports, is_unfinished, load, is_proven)
        self._home = HomeScreen(desk, self.exit, self.marks, self.actions, on_record)

    async def on_mount(self) -> None:
        """Open the home screen."""
        await self.push_screen(self._home)
