"""Measures the stop from the key on the terminal to its bytes at the machine, through the real screens.

    python -m tests.benchmarks.stop_by_key [--tries 10]

The job's screens run in a program of their own on a pseudo-terminal, with a real line printer on another
one; at its far end a small machine in a third process notes when the stop block comes in. Meanwhile 1,000
blocks stream, or a heat wait is pending that never ends. Both figures begin with the key's byte on the
terminal. `written` ends when the system has taken the stop's bytes (to reach: under 20 ms, the worst of all
tries); `arrived` when the other process has read them, with what the system's scheduler adds. On a busy
computer the scheduler is most of both: `chrt -f 5` before the command takes it out of `written`.
"""

from __future__ import annotations

import argparse
import fcntl
import multiprocessing
import os
import random
import statistics
import struct
import subprocess
import sys
import termios
import threading
import time
from multiprocessing.connection import Connection

from tests.benchmarks.line_measures import far_end

TO_REACH_MS = 20.0


def tell(text: str) -> None:
    """Say something past the screens: as a window title, which they do not use."""
    os.write(1, f"\033]2;{text}\007".encode())


def run_screens(path: str, busy: str) -> int:
    """The program under test: the job's screens, with a session that only keeps the line busy."""
    from drivers.conversation import Waits
    from drivers.printer import LinePrinter
    from profiles.load import load
    from wizard.apps.job import JobApp
    from wizard.facts import Facts
    from wizard.running.events import StateChanged, StatusChanged
    from wizard.running.session import Stopped

    machine = load("four-corner-220")

    class Busy:
        """Stands in for a session: what it drives and how it stops is real."""

        def __init__(self, listener) -> None:
            self.listener = listener
            self.printer = LinePrinter(machine, path, waits=Waits(quiet_s=0.05))

        async def run(self):
            self.printer.watch(lambda status: self.listener(StatusChanged(status)), lambda record: None)
            await self.printer.connect()
            self.listener(StateChanged("connecting", "moving"))
            tell("busy")
            try:
                await (self.stream() if busy == "streaming" else self.printer.warm(60, 0))
            finally:
                await self.printer.close()
                raise Stopped

        async def stream(self) -> None:
            while True:
                for _ in range(1000):
                    await self.printer._line.ask("M105")

        def stop(self) -> None:
            self.printer.stop()
            tell(f"written {time.monotonic():.6f}")

        hang_up = stop

    return JobApp(Busy, Facts(machine)).run(mouse=False) or 0


def one_try(path: str, boss: Connection, busy: str) -> tuple[float, float]:
    """Return how long a stop took, ms: until it was written, and until it was read at the far end."""
    master, slave = os.openpty()
    fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    argv = [sys.executable, "-m", "tests.benchmarks.stop_by_key", "--screens", path, busy]
    environment = {**os.environ, "TERM": "xterm-256color"}
    program = subprocess.Popen(argv, stdin=slave, stdout=slave, stderr=slave, env=environment)
    os.close(slave)
    seen = Seen(master)
    seen.wait_for(b"\033]2;busy\007")
    time.sleep(random.uniform(1.0, 3.0))  # at any moment between two looks at the heater
    pressed = time.monotonic()
    os.write(master, b"x")
    whole = boss.recv() - pressed
    written = seen.wait_for(b"\033]2;written ").partition(b"\033]2;written ")[2].partition(b"\007")[0]
    program.kill()
    program.wait()
    os.close(master)
    return 1000 * (float(written) - pressed), 1000 * whole


class Seen:
    """All that a terminal has shown; a thread keeps reading, so that the program never waits for it."""

    def __init__(self, master: int) -> None:
        self.data = b""
        self._master = master
        threading.Thread(target=self._read, daemon=True).start()

    def _read(self) -> None:
        try:
            while chunk := os.read(self._master, 65536):
                self.data += chunk
        except OSError:
            pass

    def wait_for(self, mark: bytes) -> bytes:
        end = time.monotonic() + 60
        while mark not in self.data or not self.data.partition(mark)[2].count(b"\007") + mark.count(b"\007"):
            if time.monotonic() > end:
                raise RuntimeError(f"{mark!r} was never seen: {self.data[-2000:]!r}")
            time.sleep(0.01)
        return self.data


def main() -> int:
    """Measure and print; exit 0 where the stop is written sooner than is to be reached."""
    reader = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    reader.add_argument("--tries", type=int, default=10)
    reader.add_argument("--screens", nargs=2, help=argparse.SUPPRESS)
    args = reader.parse_args()
    if args.screens:
        return run_screens(*args.screens)
    ours, theirs = multiprocessing.Pipe()
    context = multiprocessing.get_context("spawn")
    context.Process(target=far_end, args=(theirs,), daemon=True).start()
    path, good = ours.recv(), True
    for busy in ("streaming", "heat wait"):
        tries = [one_try(path, ours, busy) for _ in range(args.tries)]
        for name, took in zip(("written", "arrived"), zip(*tries, strict=True), strict=True):
            middle, worst = statistics.median(took), max(took)
            print(f"{busy:10} {name:8} median {middle:6.2f} ms, worst of {len(took)} {worst:6.2f} ms")
            good &= name != "written" or worst < TO_REACH_MS
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
