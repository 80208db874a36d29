"""What each block does on the simulated machine: motion, heaters, reports. No line, no waiting.

`run` says what to answer and, where the block takes time, what it waits for.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, NamedTuple, Protocol

from drivers.simulated.blocks import Block
from drivers.simulated.heaters import Heater, Soaking, bed_heater, nozzle_heater
from drivers.simulated.motion import Motion
from drivers.simulated.moves import XYZ
from drivers.simulated.plate import Plate
from drivers.simulated.record import Record
from profiles.machine import Machine

INCH_MM = 25.4


class Wait(NamedTuple):
    """What a block waits for: `due` returns the time at which it is done, as known now (inf: never)."""

    what: Literal["moving", "heating"]
    due: Callable[[float], float]


class Result(NamedTuple):
    """Lines to say at once, what stands beside the `ok`, what to wait for, and what to say after that."""

    lines: tuple[str, ...] = ()
    beside_ok: str = ""
    wait: Wait | None = None
    then: Callable[[], str] | None = None


class Call(NamedTuple):
    """A block and the time at which it is carried out."""

    block: Block
    now: float


class Ability(Protocol):
    """Words that only some machines have, as their profile's templates tell them."""

    def answer(self, call: Call) -> Result | None:
        """Carry out the block; None where it is none of this ability's."""

    def power_up(self) -> None:
        """Forget what was not stored."""


DONE = Result()


class Interpreter:
    """The machine behind the line. `abilities` are asked first: words that only this machine has."""

    def __init__(self, machine: Machine, plate: Plate, record: Record, start: XYZ) -> None:
        self.machine = machine
        self.plate = plate
        self.record = record
        self.motion = Motion(machine.motion, plate, record, start)
        self.bed = bed_heater(machine.heat.max_bed_c)
        self._soaking = Soaking(self.bed)
        self.nozzle = nozzle_heater(machine.heat.max_nozzle_c)
        self.abilities: list[Ability] = []
        self._known: dict[str, Callable[[Call], Result]] = {
            "G0": self._move,
            "G1": self._move,
            "G4": self._dwell,
            "G20": lambda _: self._units(INCH_MM),
            "G21": lambda _: self._units(1.0),
            "G28": self._home,
            "G90": lambda _: self._distances(absolute=True),
            "G91": lambda _: self._distances(absolute=False),
            "G92": self._set_position,
            "M18": self._motors_off,
            "M82": lambda _: self._filament_distances(absolute=True),
            "M83": lambda _: self._filament_distances(absolute=False),
            "M84": self._motors_off,
            "M104": lambda call: self._heat(self.nozzle, call),
            "M105": lambda call: Result(beside_ok=self.temperatures(call.now)),
            "M109": lambda call: self._heat(self.nozzle, call, wait=True),
            "M114": lambda call: Result(lines=(self._place(call.now),)),
            "M115": lambda _: Result(lines=(self._identity(),)),
            "M119": lambda call: Result(lines=self._endstops(call.now)),
            "M140": lambda call: self._heat(self.bed, call),
            "M190": lambda call: self._heat(self.bed, call, wait=True),
            "M400": lambda _: Result(wait=Wait("moving", self.motion.ends)),
        }
        self._start_settings()

    def run(self, block: Block, now: float) -> Result:
        """Carry out a block. Never raises; what cannot be done is answered with an error line."""
        for ability in self.abilities:
            if result := ability.answer(Call(block, now)):
                self.record.count(block.code)
                return result
        known = self._known.get(block.code)
        if known is None:
            return Result(lines=(f"echo: unknown command: {block.text}",))
        self.record.count(block.code)
        return known(Call(block, now))

    def advance(self, now: float) -> None:
        """Let time pass to `now`."""
        self.motion.advance(now)
        self.plate.bed_c, self.plate.nozzle_c = self._soaking.at(now), self.nozzle.at(now)

    def stop(self, now: float) -> None:
        """Stop at once: motion halted, heaters off."""
        self.motion.halt(now)
        self.bed.set(0.0, now)
        self.nozzle.set(0.0, now)

    def power_up(self, now: float) -> None:
        """Start anew: heaters off, nothing homed, settings as at power-up."""
        self.stop(now)
        self.motion.power_up()
        for ability in self.abilities:
            ability.power_up()
        self._start_settings()

    def temperatures(self, now: float) -> str:
        """Return the heaters' report: measured / wanted, nozzle and plate."""
        return (
            f"T:{self.nozzle.at(now):.1f} /{self.nozzle.target_c:.1f}"
            f" B:{self.bed.at(now):.1f} /{self.bed.target_c:.1f}"
        )

    def _start_settings(self) -> None:
        self._unit_mm = 1.0
        self._absolute = self._filament_absolute = True
        self._filament_mm = 0.0
        self._shift: XYZ = (0.0, 0.0, 0.0)
        self._feed_mm_min = self.machine.motion.travel_feed_mm_min

    def _units(self, unit_mm: float) -> Result:
        self._unit_mm = unit_mm
        return DONE

    def _distances(self, absolute: bool) -> Result:
        self._absolute = absolute
        return DONE

    def _filament_distances(self, absolute: bool) -> Result:
        self._filament_absolute = absolute
        return DONE

    def _move(self, call: Call) -> Result:
        feed = call.block.value("F")
        if feed is not None and feed <= 0.0:
            return error("feed must be more than 0")
        if feed is not None:
            self._feed_mm_min = feed * self._unit_mm
        goal = self._goal(call.block)
        if refusal := self.motion.refusal(goal):
            return error(f"move outside the limits: {refusal}")
        room = self.motion.room_due(call.now)
        self.motion.go(goal, self._feed_mm_min, call.now, self._filament(call.block))
        return Result(wait=Wait("moving", lambda _: room)) if room > call.now else DONE

    def _goal(self, block: Block) -> XYZ:
        """Return the native goal of a move: axes without a word stay."""
        return (self._axis(block, 0), self._axis(block, 1), self._axis(block, 2))

    def _filament(self, block: Block) -> float:
        """Return how much filament a move takes in."""
        word = block.value("E")
        if word is None:
            return 0.0
        before_mm, stated_mm = self._filament_mm, word * self._unit_mm
        self._filament_mm = stated_mm if self._filament_absolute else before_mm + stated_mm
        return self._filament_mm - before_mm

    def _axis(self, block: Block, axis: int) -> float:
        here, word = self.motion.goal[axis], block.value("XYZ"[axis])
        if word is None:
            return here
        return word * self._unit_mm + (-self._shift[axis] if self._absolute else here)

    def _home(self, call: Call) -> Result:
        named = tuple(axis for axis in range(3) if "XYZ"[axis] in call.block.words)
        self.motion.home(named or (0, 1, 2), call.now)
        return Result(wait=Wait("moving", self.motion.ends))

    def _set_position(self, call: Call) -> Result:
        """Call the present place by other numbers: native plus shift is what is spoken of."""
        shift = list(self._shift)
        for axis in range(3):
            if (word := call.block.value("XYZ"[axis])) is not None:
                shift[axis] = word * self._unit_mm - self.motion.goal[axis]
        self._shift = shift[0], shift[1], shift[2]
        if (filament := call.block.value("E")) is not None:
            self._filament_mm = filament * self._unit_mm
        return DONE

    def _dwell(self, call: Call) -> Result:
        seconds = call.block.value("S")
        length = (call.block.value("P") or 0.0) / 1000.0 if seconds is None else seconds
        end = self.motion.ends(call.now) + max(0.0, length)
        return Result(wait=Wait("moving", lambda _: end))

    def _motors_off(self, call: Call) -> Result:
        end = self.motion.ends(call.now)
        self.motion.motors_off()
        return Result(wait=Wait("moving", lambda _: end))

    def _heat(self, heater: Heater, call: Call, wait: bool = False) -> Result:
        target = call.block.value("R") if wait and call.block.value("S") is None else call.block.value("S")
        if target is None:
            return error(f"{call.block.code} needs S")
        if not 0.0 <= target <= heater.limit_c:
            return error(f"target {target:.0f} is not within 0 to {heater.limit_c:.0f}")
        heater.set(target, call.now)
        both = call.block.value("S") is None
        due = heater.due if both else lambda at: at if heater.hot_enough(at) else heater.due(at)
        return Result(wait=Wait("heating", due)) if wait and target > 0.0 else DONE

    def _place(self, now: float) -> str:
        native = self.motion.native_at(now)
        x, y, z = (round(native[axis] + self._shift[axis], 3) + 0.0 for axis in range(3))
        return f"X:{x:.2f} Y:{y:.2f} Z:{z:.3f} E:{self._filament_mm:.2f}"

    def _endstops(self, now: float) -> tuple[str, ...]:
        """Return the state of each axis's end stop: pressed where the nozzle stands at that end."""
        limits = self.machine.motion
        ends = (limits.x_mm[0], limits.y_mm[0], max(0.0, limits.z_mm[0]))
        states = zip("xyz", self.motion.true_at(now), ends, strict=True)
        return tuple(f"{axis}_min: {'triggered' if at <= end else 'open'}" for axis, at, end in states)

    def _identity(self) -> str:
        return f"MACHINE:{self.machine.name} KIND:SIMULATED printer, nothing real moves or heats"


def error(text: str) -> Result:
    """Return the answer to a block that cannot be carried out."""
    return Result(lines=(f"Error: {text}",))
