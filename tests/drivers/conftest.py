"""Fakes at two depths: a scripted conversation, and a small obedient machine, both in virtual time."""

from __future__ import annotations

import asyncio
import re
import selectors
from collections.abc import Awaitable, Callable, Iterator, Mapping
from functools import reduce
from operator import xor
from typing import Any

import pytest
from hypothesis import Phase, settings

from drivers.conversation import Waits
from drivers.errors import LinkLost
from drivers.exchange_events import Patience
from drivers.printer import LinePrinter
from profiles.machine import Adjuster, Bed, FirstLayer, Heat, Height, Machine, Motion, Point

LAG_S = 0.001

settings.register_profile("no-shrinking", phases=[Phase.explicit, Phase.generate])


class JumpingSelector(selectors.SelectSelector):
    """Where a real selector would sleep, this one moves the clock on instead."""

    def __init__(self) -> None:
        super().__init__()
        self.now = 1000.0

    def select(self, timeout: float | None = None) -> list[Any]:
        ready = super().select(0)
        if ready or timeout == 0:
            return ready
        if timeout is None:
            raise RuntimeError("everything waits for something that will never happen")
        self.now += timeout
        return ready


class VirtualLoop(asyncio.SelectorEventLoop):
    """An event loop whose hours pass in milliseconds."""

    def __init__(self) -> None:
        self.jumping = JumpingSelector()
        super().__init__(self.jumping)

    def time(self) -> float:
        return self.jumping.now


def run_virtual(job: Callable[[], Awaitable[Any]]) -> Any:
    """Run a coroutine function on a virtual clock; complain about tasks left over."""
    loop = VirtualLoop()
    try:
        result = loop.run_until_complete(asyncio.wait_for(job(), 1e6))
        left = [task for task in asyncio.all_tasks(loop) if not task.done()]
        assert not left, f"tasks left over: {left}"
        return result
    finally:
        loop.close()


class DirectPump:
    """A pump without a thread: the fake transport calls in through the loop."""

    def __init__(self, transport: Any, loop: Any, on_bytes: Any, on_gone: Any) -> None:
        self.transport = transport
        transport.attach(loop, on_bytes, on_gone)

    def start(self) -> None:
        pass

    def stop(self) -> None:
        self.transport.close()

    async def ended(self) -> None:
        pass


class FakeTransport:
    """A transport whose other end is a method: `heard(line)` returns what the machine says."""

    name = "fake"
    may_reset = False

    def __init__(self) -> None:
        self.written: list[bytes] = []
        self.gone = False
        self.closed = False
        self.life = 0
        self._rest = b""

    def attach(self, loop: Any, on_bytes: Any, on_gone: Any) -> None:
        self.loop, self.on_bytes, self.on_gone = loop, on_bytes, on_gone

    def write(self, data: bytes) -> None:
        if self.gone:
            raise OSError("the cable was pulled")
        self.written.append(data)
        *lines, self._rest = (self._rest + data).split(b"\n")
        for line in (raw.decode("ascii", "replace") for raw in lines if raw):
            answer = self.heard(line)
            self.say(answer, LAG_S if answer.startswith("Error") else self.lag_s(line))

    def say(self, text: str, after_s: float = LAG_S) -> None:
        if text:
            self.loop.call_later(after_s, self._say_now, text.encode(), self.life)

    def _say_now(self, data: bytes, life: int) -> None:
        if life == self.life and not self.closed and not self.gone:
            self._deliver(data)

    def _deliver(self, data: bytes) -> None:
        self.on_bytes(data)

    def lag_s(self, line: str) -> float:
        """How long the other end takes to answer."""
        return LAG_S

    def unplug(self) -> None:
        self.gone = True
        self.on_gone("the cable was pulled")

    def heard(self, line: str) -> str:
        raise NotImplementedError

    def read(self) -> bytes:
        raise AssertionError("read by no thread")

    def close(self) -> None:
        self.closed = True

    def lines(self) -> list[str]:
        """All lines written so far, without line numbers and checksums."""
        raw = b"".join(self.written).decode().splitlines()
        return [re.sub(r"^N\d+ |\*\d+$", "", line) for line in raw if line]


class Scripted(FakeTransport):
    """A conversation laid down beforehand: pairs of expected block and answer. Unread pairs are an error."""

    def __init__(self, *pairs: tuple[str, str]) -> None:
        super().__init__()
        self.pairs = list(pairs)
        self.wrong: list[str] = []

    def heard(self, line: str) -> str:
        block = re.sub(r"^N\d+ |\*\d+$", "", line)
        if not self.pairs or self.pairs[0][0] != block:
            self.wrong.append(f"wrote {block!r}, the script expects {self.pairs[:1]}")
            return ""
        return self.pairs.pop(0)[1]

    def finish(self) -> None:
        assert not self.wrong, self.wrong
        assert not self.pairs, f"never asked: {self.pairs}"


class Obedient(FakeTransport):
    """A small machine that does what it is told. `answers` replaces the answer to a block's first word.

    It is written from the grammar, apart from the simulated firmware, so that the two check each other.
    """

    def __init__(self, answers: Mapping[str, str] | None = None) -> None:
        super().__init__()
        self.answers = dict(answers or {})
        self.position = {"X": 0.0, "Y": 0.0, "Z": 0.0}
        self.targets = {"B": 0.0, "T": 0.0}
        self.last_number = 0
        self.done: list[str] = []
        self.halted = False
        self.homed = False
        self.moved_unhomed: list[str] = []
        self.lasts_s: dict[str, float] = {}
        self.now_c = {"B": 22.0, "T": 22.0}
        self.heats = True

    def heard(self, line: str) -> str:
        if line == "M112":
            self.halted = True
            return "Error:stopped\n"
        if self.halted:
            return ""
        match = re.fullmatch(r"N(\d+) (.*)\*(\d+)", line)
        if match is None:
            return self._carry_out(line)
        number, block, sum_ = int(match[1]), match[2], int(match[3])
        if reduce(xor, line.rpartition("*")[0].encode()) != sum_:
            return f"Error:checksum\nResend: {self.last_number + 1}\nok\n"
        if not block.startswith("M110") and number != self.last_number + 1:
            return f"Error:line number\nResend: {self.last_number + 1}\nok\n"
        self.last_number = number
        return self._carry_out(block)

    def lag_s(self, line: str) -> float:
        codes = [code for code in self.lasts_s if f" {code}" in line]
        return self.lasts_s[codes[0]] if codes else LAG_S

    def restart(self, banner: bool = True) -> None:
        """As by the reset button; the banner may get lost."""
        self.life += 1  # what it was about to say is never said
        self.halted = self.homed = False
        self.last_number = 0
        self.position = dict.fromkeys("XYZ", 0.0)
        self.targets = {"B": 0.0, "T": 0.0}
        if banner and not self.closed and not self.gone:
            self.say("start\n")

    def _carry_out(self, block: str) -> str:
        self.done.append(block)
        code = block.split(maxsplit=1)[0]
        if code in self.answers:
            return self.answers[code]
        if code in ("G0", "G1"):
            if not self.homed:
                self.moved_unhomed.append(block)
            self.position |= {axis: float(value) for axis, value in re.findall(r"([XYZ])([-\d.]+)", block)}
        elif code == "G28":
            self.homed = True
            self.position = {"X": 0.0, "Y": 0.0, "Z": 0.0}
        elif code in ("M104", "M140"):
            self.targets["T" if code == "M104" else "B"] = float(block.split("S")[1])
        return self._report(code) + "ok\n"

    def _report(self, code: str) -> str:
        if code == "M114":
            p = self.position
            return f"X:{p['X']:.2f} Y:{p['Y']:.2f} Z:{p['Z']:.2f} E:0.00 Count X:0 Y:0 Z:0\n"
        if code == "M105":
            if self.heats:
                self.now_c = {heater: target or 22.0 for heater, target in self.targets.items()}
            return "".join(f"{h}:{self.now_c[h]:.1f} /{self.targets[h]:.1f} " for h in "TB") + "@:0\n"
        if code == "M115":
            return "MACHINE_NAME:test bench PURPOSE:simulated machine\nCap:TEMPERATURES:1\n"
        return ""


@pytest.fixture
def machine() -> Machine:
    """A four-cornered machine of our own invention."""
    corners = {"front left": (30, 30), "front right": (190, 30), "back left": (30, 190)}
    return Machine(
        name="Test bench",
        bed=Bed(size_mm=(220, 220)),
        motion=Motion(x_mm=(0, 220), y_mm=(0, 220), z_mm=(0.0, 240)),
        first_layer=FirstLayer(height_mm=0.2, gap_mm=0.15, tolerance_mm=0.05),
        height=Height(by="bed adjusters"),
        heat=Heat(bed_c=60, nozzle_c=150),
        adjuster=tuple(Adjuster(name=name, at_mm=at, thread="M3") for name, at in corners.items()),
        point=tuple(Point(name=name, at_mm=at) for name, at in corners.items()),
    )


@pytest.fixture
def fakes() -> Any:
    """The fakes, for tests that build their own."""

    class Fakes:
        scripted = Scripted
        obedient = Obedient
        pump = DirectPump
        link_lost = LinkLost
        run = staticmethod(run_virtual)

        @staticmethod
        def printer(machine: Machine, transport: Any, **changes: Any) -> LinePrinter:
            settings = {"patience": Patience(), "waits": Waits(poll_s=1.0)} | changes
            return LinePrinter(machine, transport, pump=DirectPump, **settings)  # type: ignore[arg-type]

    return Fakes


@pytest.fixture
def bench(machine: Machine, fakes: Any) -> Iterator[Callable[..., Any]]:
    """Run `job(printer, transport)` against an obedient machine on a virtual clock."""

    def run(job: Callable[..., Awaitable[Any]], transport: Any = None, **changes: Any) -> Any:
        transport = transport or Obedient()
        printer = fakes.printer(changes.pop("machine", machine), transport, **changes)

        async def whole() -> Any:
            try:
                return await job(printer, transport)
            finally:
                await printer.close()
                await asyncio.sleep(0)

        return run_virtual(whole)

    return run
