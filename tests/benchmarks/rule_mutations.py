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
TESTS = ["test_safety.py", "test_envelope.py", "test_printer.py", "test_heating.py", "test_stopping.py"]
TESTS += ["test_layer_rules.py"]


class Mutation(NamedTuple):
    """`old` is replaced by `new` in `file`; it must stand there exactly once."""

    rule: str
    file: str
    old: str
    new: str


TABLE = r"""
1 homing is not asked for | drivers/envelope.py
-    def _admit_move(self, move: Move) -> None:
-        if not self.homed:
+    def _admit_move(self, move: Move) -> None:
+        if False:

1 homing outlives a reset, halt or lost line | drivers/printer.py
-        self._envelope.forget(str(error).rstrip("."))
+        pass

1 homing outlives a stop | drivers/printer.py
-        self._envelope.forget("it was stopped")
+        pass

1 homing outlives an error line | drivers/conversation.py
-            self._envelope.forget("the machine reported an error")
+            pass

1 homing outlives motors off | drivers/envelope.py
-            self.forget("its motors were switched off")
+            pass

1 homing outlives a new connection | drivers/printer.py
-        self._envelope.forget("the machine has not been homed since the line was opened")
+        pass

2 sideways at any height | drivers/envelope.py
-        if self.z_mm is None or self.z_mm < clearance - SAME_MM:
-            raise
+        if False:
+            raise

2 no lift before sideways | drivers/envelope.py
-        return [*lift, over, *self._approach(self._top_mm(lift), z_mm)]
+        return [over, *self._approach(self._top_mm(lift), z_mm)]

3 limits are not looked at | drivers/limits.py
-    if not math.isfinite(value) or not limits[0] <= value <= limits[1]:
+    if False:

3 limits are looked at in plans only | drivers/envelope.py
-        for axis, value, limits in self._targets(move):
-            admit_inside(axis, value, limits)
+        pass

4 down anywhere | drivers/envelope.py
-        elif self.point_below() is None:
-            raise
+        elif False:
+            raise

4 the last millimetre in one go | drivers/envelope.py
-STEP_MM = 0.25
+STEP_MM = 2.5

4 the last millimetre at speed | drivers/envelope.py
-        return min(SLOW_FEED_MM_MIN, self._motion.lift_feed_mm_min)
+        return self._motion.lift_feed_mm_min

4 up to a height from below | drivers/envelope.py
-        return [rise, *self._descent(above_mm, to_mm)]
+        return [Move(z_mm=to_mm, feed_mm_min=rise.feed_mm_min)]

5 stop waits its turn | drivers/line.py
-        written = self.shout(STOP_BYTES)
+        written = True
+        asyncio.get_running_loop().call_later(0.1, self.shout, STOP_BYTES)

5 a stop does not stand | drivers/line.py
-        if self._held:
+        if False:

5 what was in flight goes on after a stop | drivers/line.py
-        self._held = True
-        written = self.shout(STOP_BYTES)
-        self._exchange.drop()
+        self._held = True
+        written = self.shout(STOP_BYTES)

5 a lost line is not opened again for the stop | drivers/stopping.py
-        left = TIMES if self._line.was_open else 0
+        left = 0

6 no lift when made safe | drivers/printer.py
-                if self._envelope.position_mm() is not None:
-                    await self.lift()
+                pass

6 heaters stay on when made safe | drivers/printer.py
-        self._line.shout(HEATERS_OFF)
+        pass

6 heaters stay on, in order | drivers/printer.py
-                await self.cool()
-                return
+                return

6 heaters stay on though nobody asked for it | drivers/printer.py
-            if keep_hot:
-                return
+            if True:
+                return

6 goes home when made safe | drivers/printer.py
-                if self._envelope.position_mm() is not None:
-                    await self.lift()
+                await self.home()

7 temperatures are not looked at | drivers/limits.py
-    if not math.isfinite(target_c) or not 0.0 <= target_c <= most_c:
+    if False:

7 a dead heater is waited for | drivers/heating.py
-        elif now - self._marked_at > self._rules.window_s:
+        elif False:

7 a runaway heater is not noticed | drivers/heating.py
-        if measured_c > self._rules.most_c + ABOVE_LIMIT_C:
+        if False:

8 filament is moved outside of a print | drivers/envelope.py
-        if self._layer is None:
-            raise MoveRefused("Filament is moved only in a check print.")
+        if self._layer is None:
+            return None

8 a print outlives a stop or fault | drivers/envelope.py
-        self.x_mm = self.y_mm = self.z_mm = None
-        self._layer = None
+        self.x_mm = self.y_mm = self.z_mm = None

8 cold filament is pushed | drivers/layer_rules.py
-        if not self.nozzle_c >= self._target_c - COLDER_C:
+        if False:

8 heat that nobody told is believed | drivers/layer_rules.py
-        if self.nozzle_c is None:
-            raise
+        if self.nozzle_c is None:
+            return
+        if False:
+            raise

8 filament lengths are absolute | drivers/layer_rules.py
-        if not self.relative:
+        if False:

8 plastic at any height | drivers/layer_rules.py
-        if abs(here_mm[2] - self.z_mm) > SAME_MM:
+        if False:

8 lower than the layer | drivers/layer_rules.py
-        if z_mm < self.z_mm - SAME_MM:
+        if False:

8 lines over edges and clips | drivers/layer_rules.py
-        if not is_free(self._machine, start, end, self._part.line_width_mm / 2.0):
+        if False:

8 down on edges and clips | drivers/layer_rules.py
-        if not is_free(self._machine, at_mm, at_mm, self._part.line_width_mm / 2.0):
+        if False:

8 any flow | drivers/layer_rules.py
-        if not 0.0 < draw.extrude_mm <= MOST_FLOW * needs_mm + SAME_MM:
+        if False:

8 any push | drivers/layer_rules.py
-        if not -SAME_MM <= after_mm <= self._part.retract_mm + SAME_MM:
+        if False:

8 any temperature for the filament | drivers/layer_rules.py
-        if not math.isfinite(target_c) or not LEAST_NOZZLE_C <= target_c <= most_c:
+        if False:
"""


def read_table(text: str) -> list[Mutation]:
    """One block a mutation: `rule | file`, then the lines that go (-) and those that come (+)."""
    mutations = []
    for part in text.strip().split("\n\n"):
        head, *lines = part.split("\n")
        rule, file = head.split(" | ")
        old = "\n".join(line[1:] for line in lines if line.startswith("-"))
        new = "\n".join(line[1:] for line in lines if line.startswith("+"))
        mutations.append(Mutation(rule, file, old, new))
    return mutations


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
    command += ["--hypothesis-profile", "no-shrinking", "--tb=no"]  # some tracebacks are too deep to print
    environment = os.environ | {"PYTHONPATH": str(folder)}
    done = subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False)
    names = re.findall(r"^(?:FAILED|ERROR) \S*?::([\w:]+)", done.stdout, re.MULTILINE)
    broken = [f"the run itself, exit {done.returncode}"] if done.returncode and not names else []
    return list(dict.fromkeys(names)) or broken


def copy(folder: Path) -> None:
    """Copy what the tests need."""
    for name in ("drivers", "profiles", "tests/drivers"):
        shutil.copytree(HERE / name, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(HERE / "pyproject.toml", folder)


def main() -> int:
    """Run every mutation; print what noticed it."""
    unnoticed, mutations = 0, read_table(TABLE)
    for mutation in [None, *mutations]:
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            copy(folder)
            if mutation:
                mutate(folder, mutation)
            failed = run_tests(folder)
        if mutation is None:
            print(f"{'nothing taken away':45} {failed or 'no test fails'}", flush=True)
            unnoticed += bool(failed)
        else:
            print(f"{mutation.rule:45} {', '.join(failed) or 'NOT NOTICED'}", flush=True)
            unnoticed += not failed
    print(f"{len(mutations)} mutations, {unnoticed} not noticed")
    return 1 if unnoticed else 0


if __name__ == "__main__":
    sys.exit(main())
