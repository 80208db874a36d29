"""A thread that reads a transport and hands what it gets to an asyncio loop.

Only this thread closes the transport: closing from another while it reads is a race.
"""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable
from typing import Any

from drivers.transport import Transport


class Pump:
    """Reads until told to stop or until the other end is gone."""

    def __init__(
        self,
        transport: Transport,
        loop: asyncio.AbstractEventLoop,
        on_bytes: Callable[[bytes], None],
        on_gone: Callable[[str], None],
    ) -> None:
        """`on_bytes` and `on_gone` (with the reason) are called in the loop's own thread."""
        self._transport = transport
        self._loop = loop
        self._on_bytes = on_bytes
        self._on_gone = on_gone
        self._ended = asyncio.Event()
        self._stopping = threading.Event()
        self._thread = threading.Thread(target=self._run, name=f"reads {transport.name}", daemon=True)

    def start(self) -> None:
        """Begin to read."""
        self._thread.start()

    def stop(self) -> None:
        """Ask the thread to close the transport and end; returns at once."""
        self._stopping.set()

    async def ended(self) -> None:
        """Wait until the transport is closed."""
        await self._ended.wait()

    def _run(self) -> None:
        reason = self._read_on()
        try:
            self._transport.close()
        except OSError as error:
            reason = reason or str(error)
        self._post(self._finish, reason)

    def _read_on(self) -> str:
        """Read until stopped; return why the line is gone, or ""."""
        try:
            while not self._stopping.is_set():
                if data := self._transport.read():
                    self._post(self._deliver, data)
        except Exception as error:  # the serial library raises TypeError and others on unplugging
            return str(error) or type(error).__name__
        return ""

    def _post(self, call: Callable[[Any], None], value: object) -> None:
        try:
            self._loop.call_soon_threadsafe(call, value)
        except RuntimeError:  # the loop is closed: nobody is left to be told
            self._stopping.set()

    def _deliver(self, data: bytes) -> None:
        if not self._stopping.is_set():
            self._on_bytes(data)

    def _finish(self, reason: str) -> None:
        self._ended.set()
        if reason and not self._stopping.is_set():
            self._on_gone(reason)
