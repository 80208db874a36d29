"""Takes each rule of the safety envelope away, one at a time, and shows which tests notice.

    python tests/benchmarks/rule_mutations.py

Works on a copy in a temporary folder. Exit 0 where every mutation is noticed.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import NamedTuple

HERE = Path(__file__).resolve().parents[2]
TESTS = ["test_safety.py", "test_envelope.py", "test_printer.py", "test_heating.py"]


class Mutation(NamedTuple):
    """`old` is replaced by `new` in `file`; it must stand there exactly once."""

    rule: str
    file: str
    old: str
    new: str


ENVELOPE, PRINTER, LINE = "drivers/envelope.py", "drivers/printer.py", "drivers/line.py"
MUTATIONS = [
    Mutation("1 homing is not asked for", ENVELOPE, "    def _admit_move(self, move: Move) -> None:\n        if not self.homed:", "    def _admit_move(self, move: Move) -> None:\n        if False:"),
    Mutation("1 homing outlives a reset, halt or lost line", PRINTER, '        self._envelope.forget(str(error).rstrip("."))', "        pass"),
    Mutation("1 homing outlives a stop", PRINTER, '        self._envelope.forget("it was stopped")', "        pass"),
    Mutation("1 homing outlives an error line", "drivers/conversation.py", '            self._envelope.forget("the machine reported an error")', "            pass"),
    Mutation("1 homing outlives motors off", ENVELOPE, '            self.forget("its motors were switched off")', "            pass"),
    Mutation("1 homing outlives a new connection", PRINTER, '        self._envelope.forget("the machine has not been homed since the line was opened")', "        pass"),
    Mutation("2 sideways at any height", ENVELOPE, "        if self.z_mm is None or self.z_mm < clearance - SAME_MM:\n            raise", "        if False:\n            raise"),
    Mutation("2 no lift before sideways", ENVELOPE, "        return [*lift, over, *self._approach(start_mm, z_mm)]", "        return [over, *self._approach(start_mm, z_mm)]"),
    Mutation("3 limits are not looked at", ENVELOPE, "    if not math.isfinite(value) or not limits[0] <= value <= limits[1]:", "    if False:"),
    Mutation("3 limits are looked at in plans only", ENVELOPE, "        for axis, value, limits in self._targets(move):\n            _admit_inside(axis, value, limits)", "        pass"),
    Mutation("4 down anywhere", ENVELOPE, "        if self.point_below() is None:\n            raise", "        if False:\n            raise"),
    Mutation("4 the last millimetre in one go", ENVELOPE, "STEP_MM = 0.25", "STEP_MM = 2.5"),
    Mutation("4 the last millimetre at speed", ENVELOPE, "        return min(SLOW_FEED_MM_MIN, self._motion.lift_feed_mm_min)", "        return self._motion.lift_feed_mm_min"),
    Mutation("4 up to a height from below", ENVELOPE, "        return [rise, *self._descent(above_mm, to_mm)]", "        return [Move(z_mm=to_mm, feed_mm_min=rise.feed_mm_min)]"),
    Mutation("5 stop waits its turn", LINE, "        written = self.shout(STOP_BYTES)\n", "        written = True\n        asyncio.get_running_loop().call_later(0.1, self.shout, STOP_BYTES)\n"),
    Mutation("5 blocks go on after a stop", LINE, "        self._exchange.drop()\n        self._settle_pending(PrinterFault(\"Stopped by the operator.\", self.exchange()))", "        self._settle_pending(PrinterFault(\"Stopped by the operator.\", self.exchange()))"),
    Mutation("6 no lift when made safe", PRINTER, "                if self._envelope.position_mm() is not None:\n                    await self.lift()", "                pass"),
    Mutation("6 heaters stay on when made safe", PRINTER, "        self._line.shout(HEATERS_OFF)", "        pass"),
    Mutation("6 heaters stay on, in order", PRINTER, "                await self.cool()\n                return", "                return"),
    Mutation("6 goes home when made safe", PRINTER, "                if self._envelope.position_mm() is not None:\n                    await self.lift()", "                await self.home()"),
    Mutation("7 temperatures are not looked at", ENVELOPE, "    if not math.isfinite(target_c) or not 0.0 <= target_c <= most_c:", "    if False:"),
    Mutation("7 a dead heater is waited for", "drivers/heating.py", "        elif now - self._marked_at > self._rules.window_s:", "        elif False:"),
    Mutation("7 a runaway heater is not noticed", "drivers/heating.py", "        if measured_c > self._rules.most_c + ABOVE_LIMIT_C:", "        if False:"),
]  # fmt: skip


def mutate(folder: Path, mutation: Mutation) -> None:
    """Write the mutated file. Raises ValueError where the text to change is not there exactly once."""
    path = folder / mutation.file
    text = path.read_text()
    if text.count(mutation.old) != 1:
        raise ValueError(
            f"{mutation.rule}: the text stands {text.count(mutation.old)} times in {mutation.file}"
        )
    path.write_text(text.replace(mutation.old, mutation.new))


def run_tests(folder: Path) -> list[str]:
    """Return the names of the tests that fail in `folder`."""
    tests = [str(folder / "tests" / "drivers" / name) for name in TESTS]
    command = [sys.executable, "-m", "pytest", "-n", "0", "-q", "--rootdir", str(folder), *tests]
    environment = os.environ | {"PYTHONPATH": str(folder)}
    done = subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False)
    return re.findall(r"^(?:FAILED|ERROR) \S*?::(\S+)", done.stdout, re.MULTILINE)


def copy(folder: Path) -> None:
    """Copy what the tests need."""
    for name in ("drivers", "profiles", "tests/drivers"):
        shutil.copytree(HERE / name, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(HERE / "pyproject.toml", folder)


def main() -> int:
    """Run every mutation; print what noticed it."""
    unnoticed = 0
    for mutation in [None, *MUTATIONS]:
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            copy(folder)
            if mutation:
                mutate(folder, mutation)
            failed = run_tests(folder)
        if mutation is None:
            print(f"{'nothing taken away':45} {'no test fails' if not failed else failed}", flush=True)
            unnoticed += bool(failed)
        else:
            print(f"{mutation.rule:45} {', '.join(failed) or 'NOT NOTICED'}", flush=True)
            unnoticed += not failed
    print(f"{len(MUTATIONS)} mutations, {unnoticed} not noticed")
    return 1 if unnoticed else 0


if __name__ == "__main__":
    sys.exit(main())
