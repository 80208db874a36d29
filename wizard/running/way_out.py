"""The way out of a fault: the person tries again, or the line that was lost is there again."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

from drivers.errors import DriverError, LinkLost
from drivers.interface import Printer
from wizard.running.events import Event, Notice

BACK = "The line to the machine is there again."


class WayOut:
    """Waited for after each fault. `go` is what going on takes: it leads to `opened`."""

    def __init__(self, printer: Printer, tell: Callable[[Event], None], go: Callable[[], None]) -> None:
        self._printer = printer
        self._tell = tell
        self._go = go
        self._opened = asyncio.Event()

    def opened(self) -> None:
        """The job may go on."""
        self._opened.set()

    def close(self) -> None:
        """A fault has come: from now on it is waited for."""
        self._opened.clear()

    async def wait(self, error: DriverError) -> None:
        """Return once the job may go on. Only a lost line comes back by itself."""
        looking = asyncio.ensure_future(self._look_for_line()) if isinstance(error, LinkLost) else None
        try:
            await self._opened.wait()
        finally:
            if looking is not None:
                looking.cancel()

    async def _look_for_line(self) -> None:
        """That the job then goes on by itself moves nothing: a person is asked before anything moves."""
        await self._printer.come_back()
        if not self._opened.is_set():
            self._tell(Notice(BACK))
            self._go()
