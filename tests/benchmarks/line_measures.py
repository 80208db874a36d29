"""Measures the line: how soon a stop is written, what a round trip costs, idle load, memory.

    python tests/benchmarks/line_measures.py [--blocks 20000]

Everything goes through a real pseudo-terminal to a small machine in a process of its own, which
answers each line `ok` at once (a heater that never gets warm for the heat wait).

- stop: from the call that a key press makes to the bytes read at the other end, while blocks stream
  and while a heat wait is pending (to reach: under 20 ms, the worst of all tries)
- round trip: one block and its `ok`, as a ratio to a bare serial-library loop doing the same in the
  same run, the two taking turns (to reach: 1.3)
- idle: processor time of this process while connected and asked nothing (to reach: 1 % of a core)
- memory: resident size after half of the blocks and after all of them
"""

from __future__ import annotations

import argparse
import asyncio
import multiprocessing
import os
import resource
import statistics
import sys
import time
import tty
from multiprocessing.connection import Connection
from pathlib import Path

import serial

from drivers.conversation import Waits
from drivers.framing import frame
from drivers.line import Line
from drivers.printer import LinePrinter
from drivers.serial_port import open_port
from profiles.load import load

STOPS = 30
BATCH = 500


def far_end(boss: Connection) -> None:
    """Answer each line; tell the boss when a stop comes in."""
    master, slave = os.openpty()
    tty.setraw(slave)
    boss.send(os.ttyname(slave))
    rest = b""
    while True:
        *lines, rest = (rest + os.read(master, 4096)).split(b"\n")
        for line in lines:
            if b"M112" in line:
                boss.send(time.monotonic())
                os.write(master, b"Error:stopped\n")
            elif b"M105" in line:
                os.write(master, b"ok T:21.0 /0.0 B:30.0 /60.0\n")
            elif b"M114" in line:
                os.write(master, b"X:0.00 Y:0.00 Z:5.00 E:0.00\nok\n")
            elif line:
                os.write(master, b"ok\n")


class Ear:
    """Nobody listens."""

    def line_seen(self, record: object) -> None:
        pass

    reply_heard = line_broken = line_seen


async def stop_s(path: str, boss: Connection, busy: str) -> float:
    """Return how long a stop took from the call to its bytes at the other end."""
    printer = LinePrinter(load("four-corner-220"), path, waits=Waits(quiet_s=0.05, poll_s=0.2))
    await printer.connect()
    job = asyncio.create_task(stream(printer) if busy == "streaming" else printer.warm(60, 0))
    await asyncio.sleep(0.05)
    pressed = time.monotonic()
    printer.stop()
    took = await asyncio.to_thread(boss.recv) - pressed
    await asyncio.gather(job, return_exceptions=True)
    await printer.close()
    return took


async def stream(printer: LinePrinter) -> None:
    """A thousand blocks, one after the other."""
    for _ in range(1000):
        await printer._line.ask("M105")


async def through_driver(line: Line, blocks: int) -> float:
    """Return the time for `blocks` round trips through the driver."""
    began = time.perf_counter()
    for number in range(blocks):
        await line.ask(f"G1 X{number % 200} F6000")
    return time.perf_counter() - began


def through_library(port: serial.Serial, blocks: int) -> float:
    """The same with nothing but the serial library."""
    began = time.perf_counter()
    for number in range(blocks):
        port.write(frame(1001 + number, f"G1 X{number % 200} F6000"))
        if port.read_until(b"\n") != b"ok\n":
            raise RuntimeError("the far end did not answer")
    return time.perf_counter() - began


async def ratios(path: str, rounds: int = 8) -> list[float]:
    """Return driver time over library time, in turns."""
    found = []
    for _ in range(rounds):
        line = await opened(path)
        ours = await through_driver(line, BATCH)
        await line.close()
        with serial.Serial(path, 115200, timeout=1.0) as port:
            found.append(ours / through_library(port, BATCH))
    return found


async def opened(path: str) -> Line:
    """A line that is begun."""

    async def opener():
        return open_port(path, 115200)

    line = Line(opener, Ear())
    await line.open()
    await line.quiet(0.1, 1.0)
    await line.begin()
    return line


async def idle_share(path: str, seconds: float = 10.0) -> float:
    """Return the share of a core that a connected printer takes while nothing is asked of it."""
    printer = LinePrinter(load("four-corner-220"), path, waits=Waits(quiet_s=0.05))
    await printer.connect()
    before, began = time.process_time(), time.monotonic()
    await asyncio.sleep(seconds)
    share = (time.process_time() - before) / (time.monotonic() - began)
    await printer.close()
    return share


def resident_kib() -> int:
    """Return the resident size now; where the system does not tell, the largest so far."""
    try:
        pages = int(Path("/proc/self/statm").read_text().split()[1])
    except OSError:
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return pages * resource.getpagesize() // 1024


async def memory(path: str, blocks: int) -> tuple[int, int]:
    """Return the resident size after half of the blocks and after all of them, KiB."""
    line = await opened(path)
    await through_driver(line, blocks // 2)
    half = resident_kib()
    await through_driver(line, blocks // 2)
    await line.close()
    return half, resident_kib()


async def measure(path: str, boss: Connection, blocks: int) -> bool:
    """Measure and print all; return whether all was reached."""
    good = True
    for busy in ("streaming", "heat wait"):
        took = [await stop_s(path, boss, busy) * 1000 for _ in range(STOPS)]
        good &= max(took) < 20
        middle, worst = statistics.median(took), max(took)
        print(f"stop while {busy:10}: median {middle:.2f} ms, worst of {STOPS} {worst:.2f} ms")
    found = await ratios(path)
    good &= statistics.median(found) <= 1.3
    middle, least, most = statistics.median(found), min(found), max(found)
    print(f"round trip, driver over bare library: {middle:.2f} ({least:.2f} to {most:.2f})")
    share = await idle_share(path)
    good &= share < 0.01
    print(f"idle and connected: {share * 100:.2f} % of a core")
    half, whole = await memory(path, blocks)
    print(f"resident after {blocks // 2} blocks {half} KiB, after {blocks}: {whole} KiB")
    return good and whole - half < 512


def main() -> int:
    """Start the far end and measure. Exit 0 where all that is to be reached is reached."""
    reader = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    reader.add_argument("--blocks", type=int, default=20_000)
    args = reader.parse_args()
    ours, theirs = multiprocessing.Pipe()
    context = multiprocessing.get_context("spawn")
    context.Process(target=far_end, args=(theirs,), daemon=True).start()
    return 0 if asyncio.run(measure(ours.recv(), ours, args.blocks)) else 1


if __name__ == "__main__":
    sys.exit(main())
