"""Stop: written at once, and again until the machine shows that it obeyed.

A lost line is opened again for it, as soon as it is back.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable

from drivers.errors import DriverError
from drivers.interface import Stopped
from drivers.line import Line

AGAIN_S = 0.3
TIMES = 5
REOPEN_S = 0.5
REOPEN_AT_MOST_S = 15.0
HEATERS_OFF = b"\nM104 S0\nM140 S0\n"


class Stopping:
    """One machine's stop. `tell` hears how far it has got."""

    def __init__(self, line: Line, tell: Callable[[Stopped], None]) -> None:
        self._line = line
        self._tell = tell
        self._task: asyncio.Task[None] | None = None
        self._state: Stopped = ""
        self._obeyed = False

    @property
    def pressed(self) -> bool:
        """Whether a stop stands."""
        return self._state != ""

    def press(self) -> None:
        """Write the stop block now, then see to it that it is obeyed. Never waits, never raises."""
        self._obeyed = False
        self._write()
        self._cancel_task()
        try:
            self._task = asyncio.get_running_loop().create_task(self._see_to_it())
        except RuntimeError:  # no loop runs: nothing more can be done than was done
            self._task = None

    def obeyed(self) -> None:
        """The machine said something that shows it: an error line or a start banner."""
        if self._state == "written":
            self._obeyed = True
            self._set("confirmed")

    def lift(self) -> None:
        """The operator goes on: the stop does not stand any more."""
        self._cancel_task()
        self._line.release()
        self._state = ""

    async def over(self) -> None:
        """Wait until the machine has obeyed, or all that can be done is done."""
        if self._task is not None:
            await asyncio.wait([self._task])

    def _write(self) -> None:
        self._set("written" if self._line.stop() else "not written")

    def _set(self, state: Stopped) -> None:
        self._state = state
        self._tell(state)

    def _cancel_task(self) -> None:
        if self._task is not None:
            self._task.cancel()
            self._task = None

    async def _see_to_it(self) -> None:
        """Write again while nothing shows that the machine obeyed, or once the lost line is back."""
        end = asyncio.get_running_loop().time() + REOPEN_AT_MOST_S
        left = TIMES if self._line.was_open else 0
        while left and asyncio.get_running_loop().time() < end:
            await asyncio.sleep(AGAIN_S if self._line.is_open else REOPEN_S)
            if self._obeyed:
                return
            if await self._is_open():
                self._write()
                left -= 1

    async def _is_open(self) -> bool:
        try:
            await self._line.open()
        except DriverError:
            return False
        return True
