"""Reading a transport for an asyncio loop: by watching its descriptor, else by a thread.

Only whoever reads closes the transport: closing it while another thread reads is a race.
"""

from __future__ import annotations

import asyncio
import os
import threading
from collections.abc import Callable
from contextlib import suppress
from typing import Any, Protocol

from drivers.transport import Transport

MOST_BYTES = 4096


class Pumping(Protocol):
    """Reads until told to stop or until the other end is gone, then closes the transport."""

    def start(self) -> None:
        """Begin to read."""

    def stop(self) -> None:
        """Have the transport closed; returns at once."""

    async def ended(self) -> None:
        """Wait until the transport is closed."""


def best_pump(
    transport: Transport,
    loop: asyncio.AbstractEventLoop,
    on_bytes: Callable[[bytes], None],
    on_gone: Callable[[str], None],
) -> Pumping:
    """Return a pump that needs no thread, where the transport and the loop allow it; else one with."""
    if transport.descriptor is not None and isinstance(loop, asyncio.SelectorEventLoop):
        return DescriptorPump(transport, loop, on_bytes, on_gone)
    return ThreadPump(transport, loop, on_bytes, on_gone)


class DescriptorPump:
    """Has the loop itself watch the transport's descriptor."""

    def __init__(
        self,
        transport: Transport,
        loop: asyncio.AbstractEventLoop,
        on_bytes: Callable[[bytes], None],
        on_gone: Callable[[str], None],
    ) -> None:
        """`on_bytes` and `on_gone` (with the reason) are called from the loop."""
        self._transport = transport
        self._loop = loop
        self._on_bytes = on_bytes
        self._on_gone = on_gone
        self._descriptor = transport.descriptor

    def start(self) -> None:
        """Begin to read."""
        if self._descriptor is not None:
            self._loop.add_reader(self._descriptor, self._readable, self._descriptor)

    def stop(self) -> None:
        """Close the transport."""
        if self._descriptor is not None:
            self._loop.remove_reader(self._descriptor)
            self._descriptor = None
            with suppress(OSError):
                self._transport.close()

    async def ended(self) -> None:
        """Return at once: `stop` has closed it."""

    def _readable(self, descriptor: int) -> None:
        try:
            data = os.read(descriptor, MOST_BYTES)
        except (BlockingIOError, InterruptedError):
            return
        except OSError as error:
            self._end(str(error.strerror))
            return
        if data:
            self._on_bytes(data)
        else:
            self._end("the other end hung up")

    def _end(self, reason: str) -> None:
        self.stop()
        self._on_gone(reason)


class ThreadPump:
    """Reads in a thread, for lines without a descriptor."""

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
