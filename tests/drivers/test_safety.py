"""The safety envelope, watched from outside.

A state machine drives a printer at random, with faults. An observer that reads nothing but the bytes
on the line checks the rules by its own reckoning; the far machine notes for itself what it was made
to do unhomed. Rules are numbered as in `Observer`.
"""

from __future__ import annotations

import asyncio
import importlib.util
import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from drivers.errors import DriverError
from profiles.machine import Bed, FirstLayer, Heat, Height, Machine, Motion, Point

spec = importlib.util.spec_from_file_location("fakes", Path(__file__).with_name("conftest.py"))
fakes = importlib.util.module_from_spec(spec)
spec.loader.exec_module(fakes)

MACHINE = Machine(
    name="Watched",
    bed=Bed(size_mm=(220, 220)),
    motion=Motion(x_mm=(0, 220), y_mm=(0, 220), z_mm=(0.0, 240), clearance_mm=5.0),
    first_layer=FirstLayer(height_mm=0.2, gap_mm=0.15, tolerance_mm=0.05),
    height=Height(by="bed adjusters"),
    heat=Heat(max_bed_c=110, max_nozzle_c=260),
    point=(Point(name="left", at_mm=(30, 30)), Point(name="right", at_mm=(190, 60))),
)
CLEARANCE, LAST, STEP, SLOW, EPS = 5.0, 1.0, 0.25, 120.0, 1e-6


class Observer:
    """Reads both directions of the line, as a listener clipped to the wires would.

    1 no motion before homing since connect, reset, motors off, fault or stop
    2 sideways only at clearance height or above
    3 nothing outside the limits
    4 below clearance only over a point; the last millimetre in slow steps; the last move is down
    5 after a stop block nothing but heaters off until the line is begun anew
    6 while being made safe: up or nothing, and both heaters are told to be off
    7 temperatures inside the limits
    """

    def __init__(self) -> None:
        self.broken: list[str] = []
        self.seen: dict[int, str] = {}
        self.forget()
        self.stopped = self.stop_stands = False
        self.making_safe = False
        self.heaters_off: set[str] = set()
        self.told = {"T": 0.0, "B": 0.0}

    def forget(self) -> None:
        self.homed, self.homing = False, False
        self.x = self.y = self.z = None
        self.descent: list[tuple[float, float, float]] = []

    def out(self, data: bytes) -> None:
        for line in data.decode().splitlines():
            if line == "M112":
                self.forget()
                self.stopped = True
            elif match := re.fullmatch(r"N(\d+) (.+)\*\d+", line):
                self.numbered(int(match[1]), match[2])
            elif line:
                self.block(line)

    def numbered(self, number: int, block: str) -> None:
        if block == "M110":
            if self.stop_stands:
                self.broken.append("5: begun anew after a stop, though nobody asked for it")
            self.seen.clear()
            self.stopped = False
            self.forget()
        if self.stopped:
            self.broken.append(f"5: {block} after a stop")
        if self.seen.get(number) != block:  # the same again is a repeat, which the number makes harmless
            self.seen[number] = block
            self.block(block)

    def block(self, block: str) -> None:
        code, *words = block.split()
        values = {word[0]: float(word[1:]) for word in words}
        if self.stopped and block not in ("M104 S0", "M140 S0"):
            self.broken.append(f"5: {block} after a stop")
        if code in ("G0", "G1"):
            self.move(block, values)
        elif code == "G28":
            if self.making_safe:
                self.broken.append(f"6: {block} while being made safe")
            self.forget()
            self.homing = True
        elif code in ("M104", "M140"):
            self.heat(block, code, values["S"])
        elif code in ("M18", "M84"):
            self.forget()
        if code in ("M400", "M114"):
            self.end_of_descent()
        elif code not in ("G0", "G1"):
            self.descent = []  # it was broken off; where it broke off is not where it was to end

    def move(self, block: str, values: dict[str, float]) -> None:
        if not self.homed:
            self.broken.append(f"1: {block} before homing")
        limits = {"X": (0, 220), "Y": (0, 220), "Z": (0, 240)}
        for axis, (low, high) in limits.items():
            if not low <= values.get(axis, low) <= high:
                self.broken.append(f"3: {block}")
        if "X" in values or "Y" in values:
            self.sideways(block, values)
        if "Z" in values:
            self.vertical(block, values["Z"], values["F"])

    def sideways(self, block: str, values: dict[str, float]) -> None:
        if self.z is None or self.z < CLEARANCE - EPS or values.get("Z", CLEARANCE) < CLEARANCE:
            self.broken.append(f"2: {block} at height {self.z}")
        if self.making_safe:
            self.broken.append(f"6: {block} while being made safe")
        self.end_of_descent()
        self.x, self.y = values.get("X", self.x), values.get("Y", self.y)

    def vertical(self, block: str, z: float, feed: float) -> None:
        if self.making_safe and (self.z is None or z < self.z - EPS):
            self.broken.append(f"6: {block} while being made safe, from {self.z}")
        if z < CLEARANCE - EPS:
            if (self.x, self.y) not in {point.at_mm for point in MACHINE.point}:
                self.broken.append(f"4: {block} over no point")
            if self.z is None:
                self.broken.append(f"4: {block} from an unknown height")
        if self.z is not None:
            if z > self.z + EPS:
                self.descent = []
            self.descent.append((self.z, z, feed))
        self.z = z

    def end_of_descent(self) -> None:
        """The nozzle is where it was wanted: look back at how it came there."""
        moves, self.descent = self.descent, []
        if not moves or moves[-1][1] >= CLEARANCE - EPS:
            return
        end = moves[-1][1]
        if moves[-1][0] <= end + EPS:
            self.broken.append(f"4: came to {end} from below")
        for start, stop, feed in moves:
            in_last = start > stop and stop < end + LAST - EPS
            if in_last and (start - stop > STEP + EPS or feed > SLOW + EPS):
                self.broken.append(f"4: {start} to {stop} at F{feed} within the last {LAST} mm")

    def heat(self, block: str, code: str, target: float) -> None:
        most = 260 if code == "M104" else 110
        if not 0 <= target <= most:
            self.broken.append(f"7: {block}")
        if target == 0:
            self.heaters_off.add(code)

    def back(self, data: bytes) -> None:
        for line in data.decode("ascii", "replace").splitlines():
            if (
                line == "start"
                or line.startswith("!!")
                or (line.startswith("Error:") and not re.search("checksum|line number", line))
            ):
                self.forget()
            elif line == "ok" and self.homing:
                self.homing, self.homed = False, True
            elif (match := re.match(r"X:(\S+) Y:(\S+) Z:(\S+)", line)) and self.homed and self.z is None:
                self.x, self.y, self.z = (float(part) for part in match.groups())
            for heater, now in re.findall(r"([TB]):([-\d.]+) /", line):
                self.told[heater] = float(now)


class Wired(fakes.Obedient):
    """The far machine with a listener clipped on."""

    def __init__(self, observer: Observer) -> None:
        super().__init__()
        self.observer = observer
        self.lasts_s = {"G28": 8.0, "M400": 1.0}
        self.garbled = 0

    def write(self, data: bytes) -> None:
        if self.gone:
            raise OSError("the cable was pulled")
        self.observer.out(data)
        super().write(self.noise(data) if data != b"\nM112\n" else data)

    def _deliver(self, data: bytes) -> None:
        self.observer.back(data)
        super()._deliver(self.noise(data))

    def noise(self, data: bytes) -> bytes:
        if self.garbled <= 0 or len(data) < 3:
            return data
        self.garbled -= 1
        return data[:1] + bytes([data[1] ^ 1]) + data[2:]


HEIGHTS = st.one_of(
    st.floats(-1.0, 6.0, allow_nan=False), st.sampled_from([0.0, 0.2, 0.3, 0.05, 5.0, 239.0, 240.0, 241.0])
)
GOOD_HEIGHTS = st.floats(0.0, 6.0).map(lambda z: round(z, 2))
FAILING = ["G0", "G1", "G28", "M400", "M114"]
FAULTS = st.sampled_from(
    [
        "restart:heard",
        "restart:lost",
        "stop",
        "cable",
        "cold",
        "noise",
        *(f"error:{code}" for code in FAILING),
    ]
)
ASKED = st.sampled_from(["home", "park", "lift", "make_safe", "connect", "behave", "stop"])
BED_C = st.sampled_from([0.0, 60.0, 110.0, 111.0, -1.0])
NOZZLE_C = st.sampled_from([0.0, 150.0, 260.0, 261.0])
POINTS = st.sampled_from(
    [*MACHINE.point, Point(name="wild", at_mm=(5, 5)), Point(name="left", at_mm=(500, 5))]
)


class Driven(RuleBasedStateMachine):
    """Everything that can be asked of a printer, in any order, with faults in between."""

    @initialize()
    def lay_out(self) -> None:
        self.loop = fakes.VirtualLoop()
        self.observer = Observer()
        self.far = Wired(self.observer)
        self.printer = fakes.LinePrinter(MACHINE, lambda: self.far, pump=fakes.DirectPump)
        self.printer._line._opener = self.open_at_once  # without the thread that a real port needs
        self.pending_stop: float | None = None
        self.stops: list[asyncio.TimerHandle] = []
        self.do(self.printer.connect())

    async def open_at_once(self):
        if self.far.gone:
            self.observer.forget()
            halted = self.far.halted
            self.far = Wired(self.observer)
            self.far.halted = halted
        self.far.closed = False
        return self.far

    def do(self, job) -> Exception | None:
        """Run one thing that was asked; a stop may fall into it. Return what it raised."""

        async def whole():
            if self.pending_stop is not None:
                self.stops.append(self.loop.call_later(self.pending_stop, self.stop_now))
            self.pending_stop = None
            await job

        try:
            self.loop.run_until_complete(whole())
        except DriverError as error:
            return error
        return None

    def stop_now(self) -> None:
        written = len(self.far.written)
        self.observer.stop_stands = True
        self.printer.stop()
        if not self.far.gone and not self.far.closed:
            assert self.far.written[written:] == [b"\nM112\n"], "5: stop was not written next"

    @rule()
    def connect(self):
        """The only way on after a stop."""
        self.ask_to_connect()

    def ask_to_connect(self) -> Exception | None:
        self.far.closed = False
        self.observer.stop_stands = False
        return self.do(self.printer.connect())

    @rule()
    def home(self):
        self.do(self.printer.home())

    @rule(point=POINTS, z=HEIGHTS)
    def park(self, point, z):
        if self.do(self.printer.park(point, z)) is None:
            assert (self.far.position["X"], self.far.position["Y"]) == point.at_mm
            assert self.far.position["Z"] == pytest.approx(z, abs=0.001)

    @rule(z=HEIGHTS)
    def lower(self, z):
        if self.do(self.printer.lower(z)) is None:
            assert self.far.position["Z"] == pytest.approx(z, abs=0.001)

    @rule()
    def lift(self):
        self.do(self.printer.lift())

    @rule(bed=BED_C, nozzle=NOZZLE_C)
    def warm(self, bed, nozzle):
        error = self.do(self.printer.warm(bed, nozzle))
        if error is None:
            assert bed == 0 or abs(self.observer.told["B"] - bed) <= 1.0
            assert nozzle == 0 or abs(self.observer.told["T"] - nozzle) <= 1.0

    @rule()
    def stop(self):
        self.loop.run_until_complete(self.stopping())

    async def stopping(self):
        self.stop_now()

    @rule(after_s=st.floats(0.0, 12.0))
    def stop_within_the_next(self, after_s):
        self.pending_stop = after_s

    @rule()
    def make_safe(self):
        self.observer.making_safe = True
        self.observer.heaters_off.clear()
        deaf = self.far.gone or self.far.closed
        error = self.do(self.printer.make_safe())
        self.observer.making_safe = False
        assert error is None
        if not deaf and not self.far.gone and not self.far.closed:
            assert self.observer.heaters_off == {"M104", "M140"}, "6: heaters were left on"

    @rule(seconds=st.floats(0.1, 20.0))
    def time_passes(self, seconds):
        self.do(asyncio.sleep(seconds))

    @rule(point=st.sampled_from(MACHINE.point), z=GOOD_HEIGHTS, then=GOOD_HEIGHTS)
    def job_goes_well(self, point, z, then):
        """What a procedure does, with the machine as it should be."""
        self.behave()
        if self.do(self.printer.home()) is not None and self.ask_to_connect() is None:
            self.do(self.printer.home())
        assert self.do(self.printer.park(point, z)) is None
        assert self.do(self.printer.lower(then)) is None

    @rule(point=st.sampled_from(MACHINE.point), z=GOOD_HEIGHTS, kind=FAULTS, asked=ASKED, again=ASKED)
    def something_goes_wrong_while_parked(self, point, z, kind, asked, again):
        """A fault, or a stop, over a point; then two things are asked as if nothing had been."""
        self.job_goes_well(point, z, z)
        self.something_goes_wrong(kind)
        for what in (asked, again):
            if what == "park":
                self.park(point, z)
            else:
                getattr(self, what)()

    @rule(kind=FAULTS)
    def something_goes_wrong(self, kind):
        match kind.split(":"):
            case ["restart", banner]:
                self.far.restart(banner == "heard")
            case ["cable"] if not self.far.gone and not self.far.closed:
                self.do(self.unplugging())
            case ["error", code]:
                self.far.answers[code] = "Error:something else\nok\n"
            case ["cold"]:
                self.far.heats = False
            case ["stop"]:
                self.stop()
            case ["noise"]:
                self.far.garbled = 3

    async def unplugging(self):
        self.far.unplug()
        self.observer.forget()

    @rule()
    def behave(self):
        self.far.answers.clear()
        self.far.heats = True
        self.far.garbled = 0
        if self.far.halted:
            self.far.restart()
        for stop in self.stops:
            stop.cancel()
        self.pending_stop = None

    @invariant()
    def no_rule_is_broken(self):
        if hasattr(self, "observer"):
            assert self.observer.broken == []
            assert self.far.moved_unhomed == []

    def teardown(self):
        if hasattr(self, "loop"):
            self.loop.run_until_complete(self.printer.close())
            self.loop.run_until_complete(asyncio.sleep(0))
            self.loop.close()


TestDriven = Driven.TestCase
TestDriven.settings = settings(
    max_examples=100, stateful_step_count=20, deadline=None, suppress_health_check=list(HealthCheck)
)
