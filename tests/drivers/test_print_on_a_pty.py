"""A whole check print on the simulated printer over a real pseudo-terminal: held, and on a bad cable."""

from __future__ import annotations

import asyncio
from itertools import pairwise

import pytest

from drivers.commands import Draw
from drivers.conversation import Waits
from drivers.errors import DriverError
from drivers.exchange_events import Patience
from drivers.printer import LinePrinter
from drivers.simulated import SimulatedPrinter
from drivers.simulated.noise import Noise
from drivers.simulated.serve import PtyServer
from profiles.load import load
from wizard.printing.plan import plan

MACHINE = load("four-corner-220")
PLANNED = plan(MACHINE, 0.0, 205.0)
WAITS = Waits(quiet_s=0.1, poll_s=0.05)
SPEED = 2000.0


class Onlooker:
    """Holds once, at about the middle, for a moment."""

    def __init__(self, hold_after=None):
        self.hold_after = hold_after
        self.done = 0
        self.stood_at = None
        self.printer = None

    def told(self, progress):
        self.done = progress.done

    @property
    def held(self):
        self.done += 1
        return self.hold_after is not None and self.done > self.hold_after

    async def released(self):
        self.stood_at = self.printer.status.position_mm
        await asyncio.sleep(0.12)
        self.hold_after = None


def planned_lines():
    """The lines of the plan, each with its ends."""
    return [
        (start, end)
        for stroke in PLANNED.strokes
        for start, end in pairwise(stroke.corners_mm)
        if start != end
    ]


def laid(simulated):
    return [(line.start_mm, line.end_mm) for line in simulated.plate.plastic.lines]


def test_the_plan_has_a_block_for_each_line():
    assert len(planned_lines()) == sum(isinstance(block, Draw) for block in PLANNED.blocks)


def assert_begins(laid_lines, wanted):
    """Each line once and in order, as far as they go."""
    assert len(laid_lines) <= len(wanted)
    for (a, b), (c, d) in zip(laid_lines, wanted, strict=False):
        assert a == pytest.approx(c, abs=6e-4)
        assert b == pytest.approx(d, abs=6e-4)


async def print_once(served, looker, patience=None):
    printer = LinePrinter(MACHINE, served.url, patience, WAITS)
    looker.printer = printer
    try:
        await printer.connect()
        await printer.warm(0.0, 205.0)
        await printer.home()
        await printer.laying().run(PLANNED.blocks, 205.0, looker)
    finally:
        await printer.make_safe()
        await printer.close()


async def test_held_in_the_middle_each_line_is_laid_down_once_and_nothing_is_scratched():
    simulated = SimulatedPrinter(MACHINE, seed=1, speed=SPEED, start="level")
    looker = Onlooker(hold_after=150)
    with PtyServer(simulated) as served:
        await print_once(served, looker)
    assert looker.stood_at is not None
    assert_begins(laid(simulated), planned_lines())
    assert len(laid(simulated)) == len(planned_lines())
    assert simulated.record.violations == []
    assert simulated.firmware.interpreter.nozzle.target_c == 0.0


@pytest.mark.parametrize("seed", [1, 4])
async def test_on_a_bad_cable_each_line_is_laid_down_once_or_a_fault_is_named_with_the_heaters_off(seed):
    simulated = SimulatedPrinter(MACHINE, seed=1, speed=SPEED, start="level")
    patience = Patience(grace_s=0.15, margin_s=5.0, settle_s=0.02, tries=20)
    fault = ""
    with PtyServer(simulated, Noise(0.0004, seed)) as served:
        try:
            await print_once(served, Onlooker(), patience)
        except DriverError as error:
            fault = str(error)
    assert_begins(laid(simulated), planned_lines())
    assert fault or len(laid(simulated)) == len(planned_lines())
    assert simulated.firmware.interpreter.nozzle.target_c == 0.0
    assert simulated.record.of_kind("crash") == []
    assert simulated.record.of_kind("cold-extrusion") == []
