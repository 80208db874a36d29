"""What a check print adds to the gauge: the final worst deviation, before and after, over many seeded jobs.

    python tests/benchmarks/check_print.py [--jobs 1000] [--seed 0] [--hot] [--how caliper]

Each job is the whole procedure on a simulated plate (profile four-corner-220, leaves 0.05 mm apart, no card),
answered by the virtual hand: level by leaf until proven or ended; then the check print, its pads judged with
a caliper of 0.02 mm standard uncertainty, corrected, printed again. The true worst deviation of the gaps as
hot as they are printed is noted when the gauge is done, and when the prints are.

The profile is the shipped one: measured with a cold nozzle, whose growth by heat it does not tell, as is
common; the gauge cannot know of it, the print shows it. With --hot the nozzle is as hot while measuring as
while printing: then the gauge has no such handicap, a job that it has proven is left as it is, and nothing is
gained (a caliper of 0.02 mm knows no gap better than the leaves do, and a sixteenth of a turn is 0.03 mm).
To reach: the mean and the median halved, as shipped. Exit 1 otherwise.
"""

from __future__ import annotations

import argparse
import sys
import time
from itertools import pairwise

import msgspec
import numpy as np

from drivers.simulated.operator import Operator
from drivers.simulated.plate import Plate
from drivers.simulated.printer import BareNozzle
from profiles.load import load
from profiles.machine import Gauge, Machine
from wizard import requests as ask
from wizard.facts import Facts
from wizard.printing.plan import plan
from wizard.procedures.level import level
from wizard.virtual.autopilot import VirtualHand

BED_C, NOZZLE_C = 60.0, 205.0
LEAVES_MM = tuple(round(0.05 * nth, 2) for nth in range(1, 21))


def machine_of(*, cold: bool) -> Machine:
    """Return the profile with leaves 0.05 mm apart, measured hot or cold."""
    machine = load("four-corner-220")
    nozzle_c = 0.0 if cold else NOZZLE_C
    heat = msgspec.structs.replace(
        machine.heat, nozzle_c=nozzle_c, print_nozzle_c=None, print_bed_c=None, soak_min=0.0
    )
    return msgspec.structs.replace(machine, heat=heat, gauge=Gauge(leaves_mm=LEAVES_MM))


class Job:
    """One whole job; the truth is looked at only to be noted."""

    def __init__(self, machine: Machine, seed: int, how: str) -> None:
        self.plate = Plate(machine, seed)
        self.nozzle = BareNozzle(self.plate)
        self.hand = VirtualHand(Operator(self.nozzle, seed), machine, prints=True)
        self.machine, self.how = machine, how
        self.by_gauge_mm = self.by_print_mm = float("nan")
        self.prints = 0
        self.proven = False
        self.crashed = False

    def run(self) -> None:
        course = level(Facts(self.machine, simulated=True))
        request = next(course)
        try:
            while True:
                request = course.send(self.answer(request))
        except StopIteration as stop:
            self.proven = stop.value.proven
        self.by_print_mm = self.worst_mm()

    def worst_mm(self) -> float:
        return self.plate.worst_at_mm(BED_C, NOZZLE_C)

    def answer(self, request):
        if isinstance(request, ask.ShowResult) and not self.prints:
            self.by_gauge_mm = self.worst_mm()
        if isinstance(request, ask.Choose) and request.topic == "pads":
            return ask.Chosen(self.how)
        if isinstance(request, ask.ByPerson):
            return self.hand.answer(request)
        return self.by_machine(request)

    def by_machine(self, request):
        match request:
            case ask.Connect():
                return ask.Connected("made up", simulated=True)
            case ask.Warm():
                self.plate.bed_c = request.bed_c or self.plate.bed_c
                self.plate.nozzle_c = request.nozzle_c or 22.0
            case ask.Home():
                self.nozzle.home()
            case ask.Park() | ask.Lower():
                self.nozzle.park(self.machine.point_named(request.point), request.z_mm)
                self.crashed |= self.nozzle.gap_mm() < -0.02
            case ask.PrintLayer():
                self.lay_down()
        return ask.Done()

    def lay_down(self) -> None:
        self.prints += 1
        planned = plan(self.machine, BED_C, NOZZLE_C)
        z_mm = self.machine.first_layer.height_mm
        part = self.machine.print
        per_mm = part.line_width_mm * z_mm / (np.pi * part.filament_mm**2 / 4.0)
        for stroke in planned.strokes:
            for start, end in pairwise(stroke.corners_mm):
                filament = stroke.flow * per_mm * float(np.hypot(end[0] - start[0], end[1] - start[1]))
                self.plate.plastic.lay(self.plate, (*start, z_mm), (*end, z_mm), filament)


def table(jobs: list[Job]) -> bool:
    """Print the figures; return whether mean and median are halved."""
    gauge = np.array([job.by_gauge_mm for job in jobs])
    printed = np.array([job.by_print_mm for job in jobs])
    print(f"{'final worst deviation, mm':28} {'gauge alone':>12} {'and print':>12} {'ratio':>8}")
    good = True
    for name, of in (
        ("mean", np.mean),
        ("median", np.median),
        ("95 %", lambda each: np.quantile(each, 0.95)),
        ("worst", np.max),
    ):
        ratio = of(printed) / of(gauge)
        good &= ratio <= 0.5 or name in ("95 %", "worst")
        print(f"{name:28} {of(gauge):12.4f} {of(printed):12.4f} {ratio:8.2f}")
    tolerance = jobs[0].machine.first_layer.tolerance_mm
    name = f"within {tolerance:g} mm"
    print(f"{name:28} {np.mean(gauge <= tolerance):12.1%} {np.mean(printed <= tolerance):12.1%}")
    same = np.abs(printed - gauge) <= 1e-6
    print(f"better {np.mean(~same & (printed < gauge)):.1%}, unchanged {np.mean(same):.1%}")
    proven, crashes = np.mean([job.proven for job in jobs]), sum(job.crashed for job in jobs)
    print(f"prints a job {np.mean([job.prints for job in jobs]):.2f}, proven {proven:.1%}, crashes {crashes}")
    return bool(good)


def main() -> int:
    """Run the jobs. Exit 0 where mean and median are halved."""
    reader = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    reader.add_argument("--jobs", type=int, default=1000)
    reader.add_argument("--seed", type=int, default=0)
    reader.add_argument("--hot", action="store_true")
    reader.add_argument("--how", choices=("caliper", "micrometer", "look"), default="caliper")
    args = reader.parse_args()
    machine = machine_of(cold=not args.hot)
    began, jobs = time.monotonic(), []
    for seed in range(args.seed, args.seed + args.jobs):
        jobs.append(Job(machine, seed, args.how))
        jobs[-1].run()
    measured = "hot" if args.hot else "cold"
    print(f"{args.jobs} jobs, by {args.how}, measured {measured}, {time.monotonic() - began:.0f} s")
    return 0 if table(jobs) else 1


if __name__ == "__main__":
    sys.exit(main())
