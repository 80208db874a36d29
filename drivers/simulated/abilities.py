"""Words that only some machines have: a stored nozzle height, a touch. Made from the profile's templates."""

from __future__ import annotations

import numpy as np

from drivers.simulated.answering import answer_matching
from drivers.simulated.forms import Form
from drivers.simulated.interpreter import Ability, Call, Interpreter, Result, Wait, error
from drivers.simulated.own_abilities import Following, Motors
from profiles.machine import Height, Probe

TOUCH_SD_MM = 0.003
TOUCH_FEED_MM_MIN = 120.0
DROP_MM = 2.0
"""How far a drop-down touch reaches below the nozzle: invented."""

OFF_MM = 0.12
"""How far a touch that is not the nozzle's own may be off: where it hangs, or where the plate stands."""


class StoredOffset:
    """A nozzle height kept as a number. What is set counts at once and lasts once it is stored."""

    def __init__(self, height: Height, interpreter: Interpreter, found_mm: float) -> None:
        self._plate = interpreter.plate
        self._set, self._store, self._read = (
            Form(template) for template in (height.set_command, height.store_command, height.read_command)
        )
        self._reply = height.reply or r"offset Z(?P<offset_mm>.+)"
        self._found_mm = found_mm
        self._kept_mm = 0.0

    def answer(self, call: Call) -> Result | None:
        """Set, store or tell the number."""
        if (fields := self._set.fields(call)) is not None:
            change_mm = fields.get("change_mm")
            if change_mm is None:
                self._plate.offset_mm = fields["offset_mm"] - self._found_mm
            else:
                self._plate.offset_mm += change_mm
        elif self._store.fields(call) is not None:
            self._kept_mm = self._plate.offset_mm
        elif self._read.fields(call) is not None:
            number = f"{self._found_mm + self._plate.offset_mm:.3f}"
            return Result(lines=(_told(self._reply, "offset_mm", number),))
        else:
            return None
        return Result()

    def power_up(self) -> None:
        """Go back to the number that was stored."""
        self._plate.offset_mm = self._kept_mm


class Touch:
    """The machine goes to a place and touches the plate by itself; the answer is the Z of contact.

    A touch by anything but the nozzle is off by a constant that only a gauge can tell, and what is fixed
    beside the nozzle does not feel another one. `plastic_mm`: what clings to the tip, squeezed anew at each
    touch.
    """

    def __init__(self, probe: Probe, interpreter: Interpreter, rng: np.random.Generator) -> None:
        self.plastic_mm = 0.0
        self._off_mm = 0.0 if probe.kind == "nozzle contact" else float(rng.uniform(-OFF_MM, OFF_MM))
        self._probe = probe
        self._machine = interpreter
        self._form = Form(probe.command)
        self._rng = rng

    def answer(self, call: Call) -> Result | None:
        """Lift, go over the place, touch, lift again."""
        fields = self._form.fields(call)
        if fields is None:
            return None
        motion, limits = self._machine.motion, self._machine.machine.motion
        if not all(motion.homed):
            return error("home before touching")
        x, y, _ = motion.goal
        x, y = fields.get("x_mm", x), fields.get("y_mm", y)
        up = max(limits.clearance_mm, motion.goal[2])
        if refusal := motion.refusal((x, y, up)):
            return error(f"touch outside the limits: {refusal}")
        z_mm = self._contact_mm(x, y)
        motion.go((*motion.goal[:2], up), limits.lift_feed_mm_min, call.now)
        motion.go((x, y, up), limits.travel_feed_mm_min, call.now)
        motion.go((x, y, z_mm + self._drop_mm(x, y)), TOUCH_FEED_MM_MIN, call.now)
        motion.go((x, y, up), limits.lift_feed_mm_min, call.now)
        told = _told(self._probe.reply, "z_mm", f"{z_mm:.3f}")
        return Result(wait=Wait("moving", motion.ends), then=lambda: told)

    def power_up(self) -> None:
        """Nothing is kept."""

    def _drop_mm(self, x: float, y: float) -> float:
        """Return how far the nozzle still stands above a plate that something beside it has met."""
        over = np.isfinite(self._machine.plate.gap_at(x, y, 0.0))
        return DROP_MM if over and self._probe.kind != "nozzle contact" else 0.0

    def _contact_mm(self, x: float, y: float) -> float:
        """Return the Z at which the machine says that it met the plate, or the touch plate beside it."""
        gap_mm = self._machine.plate.gap_at(x, y, 0.0)
        level_mm = -gap_mm if np.isfinite(gap_mm) else -self._machine.plate.nozzle_above_mm
        level_mm += self._machine.plate.nozzle_mm if self._probe.kind == "touch" else 0.0
        squeezed_mm = float(self._rng.uniform(0.0, self.plastic_mm)) if self.plastic_mm else 0.0
        return level_mm + self._off_mm + squeezed_mm + float(self._rng.normal(0.0, TOUCH_SD_MM))


def _told(pattern: str, group: str, number: str) -> str:
    """Return the answer in the profile's own form, or in a plain one where that is too odd to be made."""
    try:
        return answer_matching(pattern, group, number)
    except ValueError:
        return f"{group} {number}"


def abilities_of(interpreter: Interpreter, seed: int) -> list[Ability]:
    """Return what this machine can do beyond the standard words, by its profile."""
    machine, rng = interpreter.machine, np.random.default_rng([seed, 7])
    found_mm = round(float(rng.uniform(-2.0, -0.5)), 2)
    abilities: list[Ability] = []
    if machine.height.by == "stored offset":
        abilities.append(StoredOffset(machine.height, interpreter, found_mm))
    if machine.probe is not None:
        abilities.append(Touch(machine.probe, interpreter, rng))
    if machine.compensation is not None:
        abilities.append(Following(machine.compensation, interpreter))
    if any(adjuster.move_command for adjuster in machine.adjuster):
        abilities.append(Motors(machine, interpreter))
    return abilities
