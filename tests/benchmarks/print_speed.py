"""How fast a check print goes over a pseudo-terminal, beside an unchecked stream of the same blocks.

    python tests/benchmarks/print_speed.py [--speeds 1 5 20] [--profile four-corner-220] [--rounds 3]

Both go to the simulated printer at the same speed, each served on a pseudo-terminal by a process of its own.
Unchecked: each block as it is, without number and checksum, the next as soon as `ok` has come, nothing asked
in between. Ours: the whole driver, with envelope, numbers, checksums, temperatures asked for as in a job, and
progress. Timed from the first block to the end of the last move; the two take turns.
To reach: ours at least 95 % as fast. Exit 1 otherwise.
"""

from __future__ import annotations

import argparse
import asyncio
import multiprocessing
import statistics
import sys
import time
from multiprocessing.connection import Connection

import serial

from drivers.commands import encode
from drivers.conversation import Waits
from drivers.interface import Progress
from drivers.printer import LinePrinter
from drivers.simulated import SimulatedPrinter
from drivers.simulated.serve import PtyServer
from profiles.load import load
from wizard.printing.plan import Plan, plan, temperatures_c
from wizard.running.assembly import LEAST_POLL_S

LEAST_RATIO = 0.95


def far_end(profile: str, speed: float, boss: Connection) -> None:
    """Serve a hot machine until told to end."""
    printer = SimulatedPrinter(load(profile), speed=speed, start="level")
    with PtyServer(printer) as server:
        boss.send(server.url)
        boss.recv()
        boss.send([violation.kind for violation in printer.record.violations])


class Onlooker:
    """Counts what it is told."""

    held = False
    ticks = 0

    def told(self, progress: Progress) -> None:
        self.ticks += 1

    async def released(self) -> None:
        pass


async def ours_s(path: str, profile: str, speed: float, planned: Plan) -> float:
    """Return how long the driver takes."""
    waits = Waits(quiet_s=0.1, poll_s=max(LEAST_POLL_S, 1.0 / speed))
    printer = LinePrinter(load(profile), path, waits=waits)
    await printer.connect()
    await printer.warm(0.0, planned.nozzle_c)
    await printer.home()
    began = time.perf_counter()
    await printer.laying().run(planned.blocks, planned.nozzle_c, Onlooker())
    took = time.perf_counter() - began
    await printer.close()
    return took


def unchecked_s(path: str, planned: Plan) -> float:
    """Return how long nothing but the serial library takes."""
    with serial.Serial(path, 115200, timeout=60.0) as port:

        def ask(block: str) -> None:
            port.write(block.encode() + b"\n")
            while not port.readline().startswith(b"ok"):
                pass

        for block in ("G21", "G90", f"M109 S{planned.nozzle_c:g}", "G28", "G1 Z5 F600", "M400"):
            ask(block)
        texts = [encode(block) for block in planned.blocks]
        began = time.perf_counter()
        for text in texts:
            ask(text)
        ask("M400")
        return time.perf_counter() - began


def compare(profile: str, speed: float, rounds: int) -> list[float]:
    """Return how fast ours is as a share of unchecked, a figure a round."""
    machine = load(profile)
    planned = plan(machine, *temperatures_c(machine))
    ratios = []
    for _ in range(rounds):
        plain = served(profile, speed, lambda path: unchecked_s(path, planned))
        checked = served(profile, speed, lambda path: asyncio.run(ours_s(path, profile, speed, planned)))
        ratios.append(plain / checked)
        print(f"  speed {speed:g}: unchecked {plain:.2f} s, ours {checked:.2f} s, {plain / checked:.3f}")
    return ratios


def served(profile: str, speed: float, job) -> float:
    """Run a job on a machine of its own. Raises RuntimeError where the machine noted something wrong."""
    ours, theirs = multiprocessing.Pipe()
    context = multiprocessing.get_context("spawn")
    child = context.Process(target=far_end, args=(profile, speed, theirs), daemon=True)
    child.start()
    took = job(ours.recv())
    ours.send("end")
    wrong = [kind for kind in ours.recv() if kind != "before-homing"]
    child.join()
    if wrong:
        raise RuntimeError(f"the machine noted {sorted(set(wrong))}")
    return took


def main() -> int:
    """Compare at each speed. Exit 0 where the median at each is enough."""
    reader = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    reader.add_argument("--speeds", type=float, nargs="+", default=[1.0, 5.0, 20.0])
    reader.add_argument("--profile", default="four-corner-220")
    reader.add_argument("--rounds", type=int, default=3)
    args = reader.parse_args()
    good = True
    for speed in args.speeds:
        found = compare(args.profile, speed, args.rounds)
        middle = statistics.median(found)
        good &= middle >= LEAST_RATIO
        print(
            f"speed {speed:g}: ours is {middle:.1%} as fast (median of {len(found)}, least {min(found):.1%})"
        )
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
