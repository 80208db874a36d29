"""What is known of a job so far, and how a reading is added to it."""

from __future__ import annotations

import msgspec

from profiles.grid import GridValue
from profiles.machine import Machine
from wizard.base import Base
from wizard.rounds import Reading, Round, joined
from wizard.solver.finding import Finding


class Facts(msgspec.Struct, frozen=True):
    """A job so far.

    rounds: all rounds, readings at the measuring height; the last is the running one.
    readings: the newest reading of each point since the plate or the nozzle height last changed.
    finding: the newest finding that a request carried.
    parked_at, z_mm: where the nozzle stands by what was asked and done; None where not parked.
    bed_c, nozzle_c: temperatures last asked for and reached; soaked: the plate has rested at them.
    soak_cut: the last soak was cut short and its time is not up yet: what is read is marked as early.
    base: the proven run that a recheck compares with.
    gauge: the way of reading gaps that was chosen ("leaf" or "feel"; "" before the choice).
    sheet_mm: the thickness of one shim sheet as the person told it, None while it was not asked.
    probe_offset_mm: what gauge and touch differ by, None before any point was touched; probe_u_mm: how well
    a touch counted with it tells a gap, its standard uncertainty.
    touch_sd_mm: standard deviation of the last test of how well touches repeat, None before any.
    unfollowed: the rounds from before a grid was followed; `rounds` are those since then.
    grid: the numbers that the machine follows, empty where it has found them by itself, or follows none.
    print_c: plate and nozzle temperature of the last check print, None before any.
    thou: lengths are told in thousandths of an inch, too.
    switched_on: the machine follows a grid of its own now, as far as it was told to.
    following: the machine follows a grid of its own now, and `machine` has the points that verify it, too.
    """

    machine: Machine
    by_hand: bool = False
    simulated: bool = False
    connected: bool = False
    homed: bool = False
    bed_c: float = 0.0
    nozzle_c: float = 0.0
    soaked: bool = False
    soak_cut: bool = False
    gauge: str = ""
    sheet_mm: float | None = None
    following: bool = False
    switched_on: bool = False
    grid: tuple[GridValue, ...] = ()
    unfollowed: tuple[Round, ...] = ()
    probe_offset_mm: float | None = None
    probe_u_mm: float = 0.0
    touch_sd_mm: float | None = None
    print_c: tuple[float, float] | None = None
    parked_at: str | None = None
    z_mm: float | None = None
    rounds: tuple[Round, ...] = ()
    readings: dict[str, Reading] = {}
    finding: Finding | None = None
    answers: int = 0
    base: Base | None = None
    thou: bool = False

    @property
    def rounds_read(self) -> int:
        """How many rounds were really read: what a grid is expected to do is no reading."""
        grid = self.machine.compensation
        foretold = self.following and grid is not None and bool(grid.check)
        return len(self.unfollowed) + len(self.rounds) - foretold


changed = msgspec.structs.replace


def in_round(facts: Facts, number: int, point: str, reading: Reading) -> Facts:
    """Return the facts with `reading` of `point` in round `number` (1 is the first)."""
    reading = changed(clean(reading), early=facts.soak_cut or reading.early)
    rounds = facts.rounds if number <= len(facts.rounds) else (*facts.rounds, Round())
    last = rounds[-1]
    last = changed(last, readings={**last.readings, point: reading})
    readings = {**facts.readings, point: reading}
    return changed(facts, rounds=(*rounds[:-1], last), readings=readings)


def read_so_far(facts: Facts, number: int, point: str) -> Reading | None:
    """Return what round `number` knows of `point` by now, None where it was not read in that round."""
    return facts.rounds[-1].readings.get(point) if number == len(facts.rounds) else None


def add_reading(facts: Facts, number: int, point: str, reading: Reading) -> Facts:
    """Return the facts with what `reading` adds to what the round knows of the point.

    What rests in part on an early reading stays early.
    """
    so_far = read_so_far(facts, number, point)
    whole = joined(so_far, reading)
    rests_on_it = so_far is not None and so_far.early and whole != joined(None, reading)
    return in_round(facts, number, point, changed(whole, early=rests_on_it))


def above_mm(facts: Facts, z_mm: float) -> float:
    """Return how far a nozzle at `z_mm` stands above the measuring height."""
    return z_mm - facts.machine.measuring_height_mm


def clean(reading: Reading) -> Reading:
    """Return the reading without the last digits of binary sums, so that it is written as it is meant."""
    low = None if reading.low_mm is None else round(reading.low_mm, 6)
    high = None if reading.high_mm is None else round(reading.high_mm, 6)
    return Reading(low, high, reading.how)


def away(facts: Facts) -> Facts:
    """Return the facts with the nozzle lifted somewhere."""
    return changed(facts, parked_at=None, z_mm=None)
