"""More words that only some machines have: a grid that is followed, motors that move the plate."""

from __future__ import annotations

from drivers.simulated.answering import answer_matching
from drivers.simulated.following import Grid
from drivers.simulated.forms import Form
from drivers.simulated.interpreter import Call, Interpreter, Result, Wait, error
from profiles.machine import Adjuster, Compensation, Machine
from profiles.threads import mm_per_turn

MOTOR_MM_S = 2.0


class Following:
    """Software compensation: numbers set one by one, or touched by the machine; switched on; told."""

    def __init__(self, part: Compensation, interpreter: Interpreter) -> None:
        self._part = part
        self._grid = Grid(interpreter.machine)
        self._plate = interpreter.plate
        self._plate.grid = self._grid
        texts = (part.set_command, part.activate_command, part.read_command)
        self._deactivate = Form(part.deactivate_command)
        self._set, self._activate, self._read = (Form(text) for text in texts)

    def answer(self, call: Call) -> Result | None:
        """Set a number, switch on, or tell all."""
        if (fields := self._set.fields(call)) is not None:
            column, row = int(fields.get("column", -1)), int(fields.get("row", -1))
            kept = self._grid.set(column, row, fields.get("offset_mm", 0.0))
            return Result() if kept else error(f"no place {column}, {row} in the grid")
        if self._activate.fields(call) is not None:
            self._switch_on()
            return Result()
        if self._deactivate.fields(call) is not None:
            self._grid.active = False
            return Result()
        return self._told() if self._read.fields(call) is not None else None

    def power_up(self) -> None:
        """The numbers are kept; whoever wants them followed switches it on again."""
        self._grid.active = False

    def _switch_on(self) -> None:
        """Follow the grid; a machine that is told no numbers touches the places by itself."""
        if self._part.set_command is None:
            self._touch_all()
        self._grid.active = True

    def _touch_all(self) -> None:
        self._grid.active = False
        rows, columns = self._grid.values.shape
        for row in range(rows):
            for column in range(columns):
                self._grid.set(column, row, -self._plate.gap_at(*self._grid.place(column, row), 0.0))
        self._grid.values -= self._grid.values.mean()

    def _told(self) -> Result:
        pattern = self._part.reply or r"kept Z(?P<offset_mm>.+)"
        numbers = [f"{value:.3f}" for value in self._grid.values.ravel()]
        return Result(lines=tuple(answer_matching(pattern, "offset_mm", number) for number in numbers))


class Motors:
    """Motors that move the plate at its supports."""

    def __init__(self, machine: Machine, interpreter: Interpreter) -> None:
        self._interpreter = interpreter
        self._forms = [(a, Form(a.move_command)) for a in machine.adjuster if a.move_command]

    def answer(self, call: Call) -> Result | None:
        """Move one motor; it takes its time."""
        for motor, form in self._forms:
            if (fields := form.fields(call)) is not None:
                return self._move(motor, fields, call.now)
        return None

    def power_up(self) -> None:
        """The plate stays where it is."""

    def _move(self, motor: Adjuster, fields: dict[str, float], now: float) -> Result:
        if not all(self._interpreter.motion.homed):
            return error("home before moving the plate")
        each_mm = mm_per_turn(motor) * (1.0 if motor.clockwise == "raises" else -1.0)
        turns = fields["turns"] if "turns" in fields else fields["rise_mm"] / each_mm
        made = self._interpreter.plate.turn(motor.name, turns)
        ends = max(now, self._interpreter.motion.ends(now)) + abs(made * each_mm) / MOTOR_MM_S
        return Result(wait=Wait("moving", lambda _: ends))
