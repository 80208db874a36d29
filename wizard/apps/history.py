"""The records on a terminal."""

from __future__ import annotations

from wizard.apps.base import TramwrightApp
from wizard.keymap import USUAL, KeyMap
from wizard.screens.history import HistoryScreen
from wizard.screens.history_desk import HistoryDesk
from wizard.widgets.marks import FULL, Marks
from wizard.widgets.theme import DARK


class HistoryApp(TramwrightApp[None]):
    """Shows the records until the person leaves."""

    def __init__(
        self, desk: HistoryDesk, *, marks: Marks = FULL, theme: str = DARK.name, keys: KeyMap = USUAL
    ) -> None:
        super().__init__(marks, theme, keys)
        self.actions = tuple(each for each in self.actions if each.name != "stop_job")  # there is no job
        self._first = HistoryScreen(desk, self.marks, self.actions)

    async def on_mount(self) -> None:
        """Open the list."""
        await self.push_screen(self._first)
