"""Blocks to the simulated firmware over a bad pseudo-terminal: is each carried out once and in order?

    python tests/benchmarks/fault_campaign.py [--blocks 100000] [--seed 1] [--rate 0.01]

The firmware runs in a process of its own behind a real pseudo-terminal; the driver's own serial edge,
pump, shell and core are at this end. On the way, in both directions, each line suffers each of these
with probability `rate`, one at most: a bit flipped, a byte lost, a byte doubled, the line delayed.
(One at most, because a one-byte checksum cannot see some pairs, such as a digit lost here and the
same digit doubled there.) Besides, one `ok` in 200 is lost, one spurious resend request in 200 lines
is slipped in, and the board is reset once in 5000 blocks, a third of the times without its banner.

What must hold, checked against the firmware's own log: between two starts of the numbering the
moves carried out are the moves sent, in order, none twice, none left out; none after a reset; and
where a run ends early it ends in a named fault, with the stop block written. Exit 1 otherwise.
"""

from __future__ import annotations

import argparse
import asyncio
import multiprocessing
import os
import random
import re
import select
import sys
import time
import tty
from collections import Counter
from multiprocessing.connection import Connection

from drivers.errors import DriverError
from drivers.exchange_events import Patience
from drivers.interface import LineRecord
from drivers.line import Line
from drivers.replies import Failure, Reply, Started
from drivers.serial_port import open_port
from drivers.simulated import SimulatedPrinter
from drivers.stopping import Stopping
from profiles.load import load

PROFILE = "four-corner-220"
KINDS = ("bit flipped", "byte lost", "byte doubled", "delayed")
LOST_OK = 1 / 200
SPURIOUS = 1 / 200
RESET = 1 / 5000
BANNER_LOST = 1 / 3
DELAY_S = (0.02, 0.3)


class BadWay:
    """One direction. `carry` takes whole bytes and gives (when, bytes) for what arrives."""

    def __init__(self, chance: random.Random, rate: float, counts: Counter[str], name: str) -> None:
        self.chance, self.rate, self.counts, self.name = chance, rate, counts, name
        self.rest = b""
        self.free_at = 0.0

    def carry(self, data: bytes, now: float) -> list[tuple[float, bytes]]:
        *lines, self.rest = (self.rest + data).split(b"\n")
        return [piece for line in lines for piece in self.carry_line(line + b"\n", now)]

    def carry_line(self, line: bytes, now: float) -> list[tuple[float, bytes]]:
        draw = self.chance.random()
        kind = KINDS[int(draw / self.rate)] if draw < len(KINDS) * self.rate else ""
        if kind:
            self.counts[f"{self.name}: {kind}"] += 1
        at, lag = self.chance.randrange(len(line)), 0.0
        if kind == "bit flipped":
            line = line[:at] + bytes([line[at] ^ (1 << self.chance.randrange(8))]) + line[at + 1 :]
        elif kind == "byte lost":
            line = line[:at] + line[at + 1 :]
        elif kind == "byte doubled":
            line = line[: at + 1] + line[at:]
        elif kind == "delayed":
            lag = self.chance.uniform(*DELAY_S)
        self.free_at = max(self.free_at, now + lag)
        return [(self.free_at, line)]


class WayBack(BadWay):
    """From the machine: some `ok` are lost, some resend requests are made up."""

    def carry_line(self, line: bytes, now: float) -> list[tuple[float, bytes]]:
        if line.startswith(b"ok") and self.chance.random() < LOST_OK:
            self.counts["back: ok lost"] += 1
            return []
        pieces = super().carry_line(line, now)
        if self.chance.random() < SPURIOUS:
            self.counts["back: spurious resend"] += 1
            number = self.last_number() + self.chance.randrange(-3, 3)
            pieces.append((self.free_at, b"Resend: %d\n" % max(number, 2)))
        return pieces


class FarEnd:
    """The firmware behind its pseudo-terminal, with a log of what it carried out."""

    def __init__(self, master: int, seed: int, rate: float) -> None:
        self.master = master
        self.chance = random.Random(seed)
        self.counts: Counter[str] = Counter()
        self.firmware = SimulatedPrinter(load(PROFILE), seed=1).firmware
        self.firmware._restarts_after_s, self.firmware._busy_every_s = None, 1e9
        self.out = BadWay(self.chance, rate, self.counts, "out")
        self.back = WayBack(self.chance, rate, self.counts, "back")
        self.back.last_number = lambda: self.firmware._last_number
        self.log: list[str] = []
        self.under_way: list[tuple[float, str, bytes]] = []
        self.machine_time = 0.0
        run = self.firmware.interpreter.run
        self.firmware.interpreter.run = lambda block, now: (self.ran(block.text), run(block, now))[1]

    def ran(self, text: str) -> None:
        self.log.append(text)
        if text.startswith("G1") and self.chance.random() < RESET:
            self.log.append("reset due")

    def let_machine_finish(self) -> bytes:
        """Its own time runs on to when all that was asked is done; no real time passes."""
        said = b""
        while (due := self.firmware.next_due(self.machine_time)) is not None:
            self.machine_time = due
            said += self.firmware.poll(due)
        return said

    def serve(self, boss: Connection) -> None:
        while True:
            wait_s = 0.02
            if self.under_way:
                wait_s = min(wait_s, max(0.0, min(at for at, _, _ in self.under_way) - time.monotonic()))
            readable, _, _ = select.select([self.master, boss], [], [], wait_s)
            now = time.monotonic()
            if self.master in readable:
                data = os.read(self.master, 4096)
                self.under_way += [(at, "out", piece) for at, piece in self.out.carry(data, now)]
            self.deliver(now)
            if boss in readable and not self.obey(boss):
                return

    def deliver(self, now: float) -> None:
        """What has arrived is taken in; in order, as on any line."""
        for way in ("out", "back"):
            due = [item for item in self.under_way if item[1] == way and item[0] <= now]
            self.under_way = [item for item in self.under_way if item not in due]
            for _, _, data in due:
                if way == "out":
                    self.firmware.receive(data, self.machine_time)
                    self.answer(now)
                else:
                    os.write(self.master, data)
        self.answer(now)

    def answer(self, now: float) -> None:
        if self.log and self.log[-1] == "reset due":
            self.reset()
        said = self.let_machine_finish()
        pieces = [(at, "back", piece) for at, piece in self.back.carry(said, now)]
        self.under_way += pieces
        if any(at <= now for at, _, _ in pieces):
            for item in [item for item in self.under_way if item[1] == "back" and item[0] <= now]:
                self.under_way.remove(item)
                os.write(self.master, item[2])

    def reset(self) -> None:
        self.log[-1] = "reset"
        self.counts["resets"] += 1
        self.firmware.poll(self.machine_time)
        self.firmware.restart()
        if self.chance.random() < BANNER_LOST:
            self.counts["resets without banner"] += 1
            self.firmware.poll(self.machine_time)

    def obey(self, boss: Connection) -> bool:
        """What the campaign wants: "log" gives and forgets the log; "restart" is the reset button."""
        match boss.recv():
            case "log":
                boss.send((self.log, dict(self.counts)))
                self.log = []
            case "restart":
                self.under_way = []
                self.firmware.restart()
                self.firmware.poll(self.machine_time)
                boss.send(None)
            case _:
                return False
        return True


def far_end(seed: int, rate: float, boss: Connection) -> None:
    """The child process: tells its pseudo-terminal's path, then serves."""
    master, slave = os.openpty()
    tty.setraw(slave)
    far = FarEnd(master, seed, rate)
    boss.send(os.ttyname(slave))
    far.serve(boss)


class Ear:
    """Hears of the line; only what shows that a stop was obeyed matters here."""

    stopping: Stopping

    def line_seen(self, record: LineRecord) -> None:
        pass

    def reply_heard(self, reply: Reply) -> None:
        if isinstance(reply, Failure | Started):
            self.stopping.obeyed()

    def line_broken(self, error: DriverError) -> None:
        pass


def block_of(number: int) -> str:
    """Every tenth block asks something; the others are moves, each to a place of its own."""
    if number % 10 == 9:
        return ("M114", "M105", "M400")[number // 10 % 3]
    return f"G1 X{number % 1000 * 0.2:.1f} Y{number // 1000 * 0.5:.1f} F6000"


class Campaign:
    """Sends the blocks, run after run, and holds the log against them."""

    def __init__(self, path: str, boss: Connection, blocks: int) -> None:
        self.path, self.boss, self.blocks = path, boss, blocks
        self.faults: Counter[str] = Counter()
        self.wrong: list[str] = []
        self.carried_out = self.resends = self.sent = 0
        self.counts: dict[str, int] = {}
        self.stops: Counter[str] = Counter()

    async def run(self) -> None:
        number = 0
        while number < self.blocks:
            number = await self.one_run(number)

    async def one_run(self, first: int) -> int:
        """Send blocks from `first` on until all are through or something breaks; return the next to send."""
        patience = Patience(grace_s=0.15, margin_s=5.0, settle_s=0.02, tries=20)
        ear = Ear()
        line = Line(self.open, ear, patience)
        told: list[str] = []
        ear.stopping = Stopping(line, told.append)
        sent: list[str] = []
        ended_well = False
        try:
            await line.open()
            await line.quiet(0.3, 2.0)
            await line.begin()
            while first + len(sent) < self.blocks:
                sent.append(block_of(first + len(sent)))
                await line.ask(sent[-1])
            await line.ask("M105")
            ended_well = True
        except DriverError as error:
            name = re.sub("'.*'", "a block", str(error))
            self.faults[f"{type(error).__name__}: {name}"] += 1
            ear.stopping.press()
            await asyncio.sleep(2.0)
            self.stops[told[-1]] += 1
            ear.stopping.lift()
        self.sent += line.sent
        self.resends += line.resends
        await line.close()
        done = self.check(sent, ended_well)
        self.ask("restart")
        return first + done

    async def open(self):
        return open_port(self.path, 115200)

    def ask(self, what: str):
        self.boss.send(what)
        return self.boss.recv()

    def check(self, sent: list[str], ended_well: bool) -> int:
        """Hold the firmware's log against what was sent; return how many of `sent` are settled."""
        log, self.counts = self.ask("log")
        until = log.index("reset") if "reset" in log else len(log)
        moves = [block for block in sent if block.startswith("G1")]
        done = [block for block in log[:until] if block.startswith("G1")]
        after = [block for block in log[until:] if block.startswith("G1")]
        if done != moves[: len(done)]:
            self.wrong.append(f"carried out {first_difference(done, moves)}")
        if after:
            self.wrong.append(f"carried out after a reset: {after[:3]}")
        if ended_well and (len(done) != len(moves) or "reset" in log):
            self.wrong.append(f"ended well with {len(done)} of {len(moves)} moves, resets: {'reset' in log}")
        self.carried_out += len(done)
        last = done[-1] if done else None
        return sent.index(last) + 1 if last else 0 if not ended_well else len(sent)


def first_difference(done: list[str], moves: list[str]) -> str:
    """Say where two lists part."""
    for at, block in enumerate(done):
        if at >= len(moves) or moves[at] != block:
            return f"{block!r} where {moves[at] if at < len(moves) else 'nothing'!r} was sent"
    return "nothing else"


def main() -> int:
    """Run the campaign and print the counts."""
    reader = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    reader.add_argument("--blocks", type=int, default=100_000)
    reader.add_argument("--seed", type=int, default=1)
    reader.add_argument("--rate", type=float, default=0.01)
    args = reader.parse_args()
    ours, theirs = multiprocessing.Pipe()
    child = multiprocessing.get_context("spawn").Process(
        target=far_end, args=(args.seed, args.rate, theirs), daemon=True
    )
    child.start()
    campaign = Campaign(ours.recv(), ours, args.blocks)
    began = time.monotonic()
    asyncio.run(campaign.run())
    ours.send("end")
    child.join()
    report(campaign, time.monotonic() - began)
    return 1 if campaign.wrong else 0


def report(campaign: Campaign, took_s: float) -> None:
    """Print what happened."""
    print(f"{campaign.blocks} blocks in {took_s:.0f} s; {campaign.sent} asked, {campaign.resends} repeated")
    for name, count in sorted(campaign.counts.items()):
        print(f"  {name:28} {count}")
    moves = sum(block_of(number).startswith("G1") for number in range(campaign.blocks))
    print(f"moves sent {moves}, carried out {campaign.carried_out}")
    print(f"runs that ended in a named fault: {sum(campaign.faults.values())}")
    for name, count in campaign.faults.most_common():
        print(f"  {count:4} {name}")
    print(f"after those, stop blocks: {dict(campaign.stops)}")
    print(f"carried out twice, out of order, left out, or after a reset: {len(campaign.wrong)}")
    for text in campaign.wrong[:10]:
        print(f"  {text}")


if __name__ == "__main__":
    sys.exit(main())
