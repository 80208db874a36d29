"""Check prints over a bad pseudo-terminal: is each block of a layer carried out once and in order?

    python tests/benchmarks/print_campaign.py [--prints 25] [--seed 1] [--rate 0.01]

The far end is that of `fault_campaign.py`: bits flipped, bytes lost or doubled, lines delayed, `ok` lost,
resend requests made up, resets with and without their banner. At this end is the whole driver as a job uses
it: connect, warm, home, lay the layer down. Each question for temperatures lets a minute of the machine's
time pass, so that it gets warm.

What must hold, by the firmware's own log: the blocks of the layer that were carried out are a beginning of
those sent, in order, none twice, none left out, all of them where the print ended well; none after a reset;
and where it did not end well there was a named fault, and afterwards the heaters are off. Exit 1 otherwise.
"""

from __future__ import annotations

import argparse
import asyncio
import multiprocessing
import os
import re
import sys
import time
import tty
from collections import Counter
from multiprocessing.connection import Connection

from fault_campaign import PROFILE, FarEnd, first_difference

from drivers.commands import encode
from drivers.conversation import Waits
from drivers.errors import DriverError
from drivers.exchange_events import Patience
from drivers.interface import Progress
from drivers.printer import LinePrinter
from profiles.load import load
from wizard.printing.plan import plan

BED_C, NOZZLE_C = 60.0, 205.0
MINUTE_S = 60.0


class HotFarEnd(FarEnd):
    """The same far end, which also tells its heaters' targets, and whose time passes while it is asked."""

    def ran(self, text: str) -> None:
        super().ran(text)
        if text.startswith("M105"):
            self.machine_time += MINUTE_S

    def obey(self, boss: Connection) -> bool:
        if boss.poll(0.0):
            wanted = boss.recv()
            if wanted == "heat":
                machine = self.firmware.interpreter
                boss.send((machine.bed.target_c, machine.nozzle.target_c))
                return True
            if wanted == "begin":
                boss.send(len(self.log))
                return True
            return super().obey(_Again(wanted, boss))
        return True


class _Again:
    """A connection whose next message has been read already."""

    def __init__(self, message: object, boss: Connection) -> None:
        self.message, self.send = message, boss.send

    def recv(self) -> object:
        return self.message


def far_end(seed: int, rate: float, boss: Connection) -> None:
    """The child process."""
    master, slave = os.openpty()
    tty.setraw(slave)
    far = HotFarEnd(master, seed, rate)
    boss.send(os.ttyname(slave))
    far.serve(boss)


class Onlooker:
    """Lets it go on."""

    held = False

    def told(self, progress: Progress) -> None:
        pass

    async def released(self) -> None:
        pass


class Campaign:
    """Prints again and again, and holds the log against what was planned."""

    def __init__(self, path: str, boss: Connection) -> None:
        self.path, self.boss = path, boss
        self.machine = load(PROFILE)
        self.planned = plan(self.machine, BED_C, NOZZLE_C)
        self.texts = [encode(block) for block in self.planned.blocks]
        self.faults: Counter[str] = Counter()
        self.wrong: list[str] = []
        self.whole = self.carried_out = self.resends = self.sent = 0
        self.counts: dict[str, int] = {}

    def ask(self, what: str):
        self.boss.send(what)
        return self.boss.recv()

    async def one_print(self) -> None:
        patience = Patience(grace_s=0.15, margin_s=5.0, settle_s=0.02, tries=20)
        waits = Waits(boot_s=0.3, quiet_s=0.2, boot_at_most_s=2.0, poll_s=0.1)
        printer = LinePrinter(self.machine, self.path, patience, waits)
        begun, ended_well = -1, False
        try:
            await printer.connect()
            await printer.warm(BED_C, NOZZLE_C)
            await printer.home()
            begun = self.ask("begin")
            await printer.laying().run(self.planned.blocks, NOZZLE_C, Onlooker())
            ended_well = True
        except DriverError as error:
            name = re.sub("'.*'|[0-9.]+ °C", "...", str(error))
            self.faults[f"{type(error).__name__}: {name}"] += 1
        await printer.make_safe()
        await asyncio.sleep(0.5)
        heat = self.ask("heat")
        if heat != (0.0, 0.0):
            self.wrong.append(f"heaters are set to {heat} after it, ended well: {ended_well}")
        self.sent += printer.status.sent
        self.resends += printer.status.resends
        await printer.close()
        self.check(begun, ended_well)
        self.ask("restart")

    def check(self, begun: int, ended_well: bool) -> None:
        """Hold the firmware's log since the layer began against the plan."""
        log, self.counts = self.ask("log")
        if begun < 0:
            return
        layer = log[begun:]
        until = layer.index("reset") if "reset" in layer else len(layer)
        lines = [text for text in layer[:until] if text in self.texts or " E" in text]
        done = lines[: len(self.texts)]
        lift = self.texts[-1]  # what makes it safe afterwards may lift once more
        rest = [text for text in lines[len(self.texts) :] if text != lift]
        if done != self.texts[: len(done)] and (done[:-1] != self.texts[: len(done) - 1] or done[-1] != lift):
            self.wrong.append(f"carried out {first_difference(done, self.texts)}")
        if rest:
            self.wrong.append(f"carried out besides: {rest[:3]}")
        if any(" E" in text for text in layer[until:]):
            self.wrong.append("plastic after a reset")
        if ended_well and (len(done) != len(self.texts) or "reset" in layer):
            self.wrong.append(f"ended well with {len(done)} of {len(self.texts)} blocks")
        self.whole += ended_well
        self.carried_out += len(done)


def main() -> int:
    """Run the campaign and print the counts."""
    reader = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    reader.add_argument("--prints", type=int, default=25)
    reader.add_argument("--seed", type=int, default=1)
    reader.add_argument("--rate", type=float, default=0.01)
    args = reader.parse_args()
    ours, theirs = multiprocessing.Pipe()
    context = multiprocessing.get_context("spawn")
    child = context.Process(target=far_end, args=(args.seed, args.rate, theirs), daemon=True)
    child.start()
    campaign = Campaign(ours.recv(), ours)
    began = time.monotonic()
    for _ in range(args.prints):
        asyncio.run(campaign.one_print())
    ours.send("end")
    child.join()
    print(f"{args.prints} prints of {len(campaign.texts)} blocks in {time.monotonic() - began:.0f} s;")
    print(f"  {campaign.sent} blocks asked in all, {campaign.resends} repeated")
    for name, count in sorted(campaign.counts.items()):
        print(f"  {name:28} {count}")
    print(f"whole prints {campaign.whole}, blocks of layers carried out {campaign.carried_out}")
    print(f"prints that ended in a named fault: {sum(campaign.faults.values())}")
    for name, count in campaign.faults.most_common():
        print(f"  {count:4} {name}")
    print(f"lost, doubled, out of order, after a reset, or heaters left on: {len(campaign.wrong)}")
    for text in campaign.wrong[:10]:
        print(f"  {text}")
    return 1 if campaign.wrong else 0


if __name__ == "__main__":
    sys.exit(main())
