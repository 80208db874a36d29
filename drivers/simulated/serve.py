"""Serves a simulated printer in a background thread: on a pseudo-terminal, or on a TCP port.

`url` is what `--port` takes. The machine's time is the real monotonic time since the start, times
its speed. A client may go and another come: the machine goes on meanwhile, as a real one does.

The thread sleeps until bytes come, something is due, or somebody has laid hands on the printer; it
never looks in vain, so that a machine that stands still costs nothing.
"""

from __future__ import annotations

import os
import select
import socket
import sys
import threading
import time
from contextlib import suppress
from types import TracebackType
from typing import Self

from drivers.simulated.noise import Noise
from drivers.simulated.printer import SimulatedPrinter

_READ = 4096
_KEPT = 2048  # what is kept for a client that does not read; the oldest goes first


class Server:
    """A thread that carries bytes between the firmware and a file descriptor, over a good or a bad cable."""

    url = ""

    def __init__(self, printer: SimulatedPrinter, noise: Noise | None = None) -> None:
        self.printer = printer
        self._noise = noise or Noise(0.0)
        self._stopping = threading.Event()
        self._pending = bytearray()
        self._ear, self._bell = socket.socketpair()
        self._ear.setblocking(False)
        self._bell.setblocking(False)
        self._thread = threading.Thread(target=self._run, name="simulated printer", daemon=True)

    def __enter__(self) -> Self:
        started, speed = time.monotonic() - self.printer.now() / self.printer.speed, self.printer.speed
        self.printer.clock = lambda: (time.monotonic() - started) * speed
        self.printer.lock.when_released = self._touched
        self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Stop serving; returns when the thread has ended."""
        self._stopping.set()
        self._ring()
        self._thread.join()
        if self.printer.lock.when_released == self._touched:
            self.printer.lock.when_released = None
        self._ear.close()
        self._bell.close()

    def _run(self) -> None:
        raise NotImplementedError

    def _touched(self) -> None:
        """Look again at what is due, unless it was the serving thread itself that let go."""
        if threading.current_thread() is not self._thread:
            self._ring()

    def _ring(self) -> None:
        with suppress(OSError):  # it has rung often enough, or nobody serves any more
            self._bell.send(b"!")

    def _wait(self, reads: int, writes: bool, due_s: float | None) -> tuple[bool, bool]:
        """Sleep until it can be read or written, something is due or the bell rings; return what can be."""
        ear, wait_s = self._ear.fileno(), None if due_s is None else max(due_s, 0.0)
        readable, writable, _ = select.select([reads, ear], [reads] if writes else [], [], wait_s)
        if ear in readable:
            self._ear.recv(_READ)
        return reads in readable, bool(writable)

    def _due_s(self, now: float) -> float | None:
        """Return in how many real seconds the machine has something to say."""
        due = self.printer.firmware.next_due(now)
        return None if due is None else (due - now) / self.printer.speed

    def _carry(self, descriptor: int) -> bool:
        """Do one turn of the exchange; return whether the other end is still there."""
        printer = self.printer
        with printer.lock:
            now = printer.now()
            self._pending += self._noise.on_answers(printer.firmware.poll(now))
            due_s = self._due_s(now)
        del self._pending[:-_KEPT]
        readable, writable = self._wait(descriptor, bool(self._pending), due_s)
        if writable and not self._write(descriptor):
            return False
        return self._read(descriptor) if readable else True

    def _write(self, descriptor: int) -> bool:
        try:
            del self._pending[: os.write(descriptor, self._pending)]
        except BlockingIOError:
            time.sleep(0.001)
        except OSError:
            return False
        return True

    def _read(self, descriptor: int) -> bool:
        try:
            data = os.read(descriptor, _READ)
        except BlockingIOError:
            return True
        except OSError:
            return False
        with self.printer.lock:
            self.printer.firmware.receive(self._noise.on_blocks(data), self.printer.now())
        return bool(data)


class PtyServer(Server):
    """On a POSIX pseudo-terminal, which stays open between clients."""

    def __init__(self, printer: SimulatedPrinter, noise: Noise | None = None) -> None:
        super().__init__(printer, noise)
        import tty

        self._master, self._slave = os.openpty()
        tty.setraw(self._slave)
        os.set_blocking(self._master, False)
        self.url = os.ttyname(self._slave)

    def _run(self) -> None:
        try:
            while not self._stopping.is_set():
                self._carry(self._master)
        finally:
            os.close(self._master)
            os.close(self._slave)


class TcpServer(Server):
    """On a TCP port, one client at a time. Port 0 takes any free one; `url` tells which."""

    def __init__(
        self,
        printer: SimulatedPrinter,
        host: str = "127.0.0.1",
        port: int = 0,
        noise: Noise | None = None,
    ) -> None:
        super().__init__(printer, noise)
        self._listener = socket.create_server((host, port))
        self.url = f"socket://{host}:{self._listener.getsockname()[1]}"

    def _run(self) -> None:
        with self._listener:
            while not self._stopping.is_set():
                if self._wait(self._listener.fileno(), False, self._alone_s())[0]:
                    self._serve(self._listener.accept()[0])

    def _alone_s(self) -> float | None:
        """Nobody listens: the machine goes on, and what it says is lost."""
        with self.printer.lock:
            now = self.printer.now()
            self.printer.firmware.poll(now)
            return self._due_s(now)

    def _serve(self, client: socket.socket) -> None:
        self._pending.clear()
        with client:
            client.setblocking(False)
            client.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            while not self._stopping.is_set() and self._carry(client.fileno()):
                pass


def local_server(printer: SimulatedPrinter) -> Server:
    """Return a server on a pseudo-terminal; where the system has none, on a free TCP port of this machine."""
    return TcpServer(printer) if sys.platform == "win32" else PtyServer(printer)
