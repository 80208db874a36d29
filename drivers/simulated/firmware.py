"""The simulated controller's line: bytes in, bytes out. No input or output of its own, and no clock.

Blocks are carried out in the order they come, one at a time; an `ok` follows each. While a block
takes time, `busy:` lines tell that the machine is alive. Only the stop word is honoured at once,
past everything that waits: heaters off, motion halted, all else refused until the board restarts.
"""

from __future__ import annotations

import re
from collections import deque
from math import inf

from drivers.simulated.blocks import LONGEST, Bad, Block, read_block
from drivers.simulated.interpreter import Interpreter, Result, Wait

_STOP = re.compile(rb"[Mm]0*112(?!\d)")


class Firmware:
    """The controller. Times are the simulated machine's own seconds.

    busy_every_s, report_every_s: how often it speaks while a block takes time.
    restarts_after_s: how long it stays halted after a stop; None: until `restart` is called.
    """

    def __init__(
        self,
        interpreter: Interpreter,
        busy_every_s: float = 2.0,
        report_every_s: float = 1.0,
        restarts_after_s: float | None = 2.0,
    ) -> None:
        self.interpreter = interpreter
        self.record = interpreter.record
        self.halted = False
        self._busy_every_s = busy_every_s
        self._report_every_s = report_every_s
        self._restarts_after_s = restarts_after_s
        self._now = 0.0
        self._out = bytearray(b"start\n")
        self._rest = bytearray()
        self._begin()

    def receive(self, data: bytes, now: float) -> None:
        """Take bytes in. Lines end with LF; CR is ignored; an endless line is cut off."""
        self.advance(now)
        self._rest += data.replace(b"\r", b"")
        *lines, rest = self._rest.split(b"\n")
        self._rest = bytearray(rest[: LONGEST + 1])
        for line in lines:
            if _STOP.search(line):
                self._stop()
            elif self.halted:
                self._say("Error: stopped; restart to go on")
            else:
                self._lines.append((bytes(line), now))
        self.advance(now)

    def poll(self, now: float) -> bytes:
        """Let time pass to `now`; return and forget what is to be sent."""
        self.advance(now)
        out = bytes(self._out)
        self._out.clear()
        return out

    def next_due(self, now: float) -> float | None:
        """Return when `poll` will have something to say; None: only bytes can change that."""
        if self._out:
            return now
        due = inf
        if self._wait is not None:
            due = min(self._wait.due(self._now), self._busy_at, self._report_at)
        if self.halted and self._restart_at is not None:
            due = min(due, self._restart_at)
        return None if due == inf else max(due, now)

    def advance(self, now: float) -> None:
        """Let time pass to `now`, without taking what is to be sent."""
        while (step := self._next_step()) <= now:
            self._now = max(self._now, step)
            self.interpreter.advance(self._now)
            self._take_step()
        self._now = max(self._now, now)
        self.interpreter.advance(self._now)

    def restart(self) -> None:
        """Start anew, as by the reset button: everything is forgotten, the banner is said."""
        self.interpreter.power_up(self._now)
        self._rest.clear()
        self._begin()
        self._say("start")

    def _begin(self) -> None:
        self.halted = False
        self._last_number = 0
        self._lines: deque[tuple[bytes, float]] = deque()
        self._wait: Wait | None = None
        self._result = Result()
        self._busy_at = self._report_at = inf
        self._restart_at: float | None = None

    def _next_step(self) -> float:
        if self.halted:
            return inf if self._restart_at is None else self._restart_at
        if self._wait is not None:
            return min(self._wait.due(self._now), self._busy_at, self._report_at)
        return self._lines[0][1] if self._lines else inf

    def _take_step(self) -> None:
        """Do the next thing that is due at the present time."""
        if self.halted:
            self.restart()
        elif self._wait is None:
            self._take_line(self._lines.popleft()[0])
        elif self._wait.due(self._now) <= self._now:
            self._wait = None
            self._busy_at = self._report_at = inf
            self._acknowledge()
        else:
            self._speak(self._wait)

    def _speak(self, wait: Wait) -> None:
        if self._now >= self._busy_at:
            self._say(f"busy: {wait.what}")
            self._busy_at = self._now + self._busy_every_s
        if self._now >= self._report_at:
            self._say(self.interpreter.temperatures(self._now))
            self._report_at = self._now + self._report_every_s

    def _take_line(self, line: bytes) -> None:
        block = read_block(line, self._last_number + 1)
        if isinstance(block, Bad):
            self.record.resends += 1
            self._say(f"Error: {block.why}", f"Resend: {self._last_number + 1}", "ok")
        elif block is not None:
            self._number(block)
            self._carry_out(block)

    def _number(self, block: Block) -> None:
        if block.code == "M110":
            stated = block.value("N")
            self._last_number = int(stated) if stated is not None else block.number or 0
        elif block.number is not None:
            self._last_number = block.number

    def _carry_out(self, block: Block) -> None:
        known = block.code not in ("", "M110")
        self._result = self.interpreter.run(block, self._now) if known else Result()
        self._say(*self._result.lines)
        wait = self._result.wait
        if wait is None or wait.due(self._now) <= self._now:
            self._acknowledge()
            return
        self._wait = wait
        self._busy_at = self._now + self._busy_every_s
        self._report_at = self._now + self._report_every_s if wait.what == "heating" else inf

    def _acknowledge(self) -> None:
        if self._result.then is not None:
            self._say(self._result.then())
        beside = self._result.beside_ok
        self._say(f"ok {beside}" if beside else "ok")

    def _stop(self) -> None:
        self.interpreter.stop(self._now)
        self.record.stops += 1
        self._begin()
        self.halted = True
        if self._restarts_after_s is not None:
            self._restart_at = self._now + self._restarts_after_s
        self._say("Error: stopped by M112, heaters off")

    def _say(self, *lines: str) -> None:
        for line in lines:
            self._out += line.encode("ascii", "replace") + b"\n"
