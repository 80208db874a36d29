"""Measures the screen of a job against a bare application with as many widgets, through a pseudo-terminal.

    python tests/benchmarks/screen.py [--starts 15] [--keys 200] [--idle 20]

Both run in the same minute on the same machine, in turns, in a terminal of 80 x 24 with 256 colours;
the job drives the simulated printer, which is a program of its own. It takes some two minutes.

- first paint: from the call to the footer's last word on the terminal (to reach: 1.25)
- key to repaint: from a digit typed to the bytes that show it, median and 99th percentile (to reach: 1.2)
- bytes: what a digit typed costs (under 400), and a step: all that comes from an answer to the next
  question, with what is shown while the machine moves between them (under 3,000), over a whole job
- memory: resident, with numpy loaded (to reach: 1.3)
- idle: processor time of one core while a reading is asked for, plate hot, line open (to reach: 1 %)
"""

from __future__ import annotations

import argparse
import os
import random
import select
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import msgspec

sys.path.insert(0, str(Path(__file__).parents[2]))

from profiles.load import load
from tests.journeys.at_screen import AtScreen
from tests.journeys.person import HandsByWord, Person
from tests.journeys.program import Program
from tests.journeys.terminal import CALM_S, LIMIT_S, Terminal

PROFILE = "four-corner-220"
SPEED = 5000
FRAME_S = 1 / 60
BARE = (sys.executable, Path(__file__).with_name("bare_app.py"))


class Figures(msgspec.Struct):
    """What is measured of one program: seconds, bytes, kB, shares of a core."""

    first_paint_s: list[float] = []
    key_s: list[float] = []
    key_bytes: list[int] = []
    step_bytes: list[int] = []
    memory_kb: int = 0
    idle: float = 0.0


class Timed(Terminal):
    """A terminal that tells when bytes come."""

    def until_bytes(self, wanted: bytes = b"") -> int:
        """Read until `wanted` has come, or anything; return how many bytes came."""
        seen = b""
        while not seen or wanted not in seen:
            if not select.select([self._master], [], [], LIMIT_S)[0]:
                raise TimeoutError(f"nothing more came:\n{self.text()}")
            data = os.read(self._master, 65536)
            self._stream.feed(data)
            seen += data
        return len(seen)

    def calm(self) -> int:
        """Read until nothing more comes; return how many bytes came."""
        before = self.received
        while self._read(CALM_S):
            pass
        return self.received - before

    def key(self, key: str) -> tuple[float, int]:
        """Press a key somewhere between two frames; return how long until it is seen, and its bytes."""
        self.calm()
        time.sleep(random.random() * FRAME_S)
        begun = time.perf_counter()
        self.type(key)
        first = self.until_bytes()
        took_s = time.perf_counter() - begun
        return took_s, first + self.calm()

    @property
    def process(self) -> int:
        """The program's process."""
        return self._process.pid


def first_paint_s(argv: Sequence[object], environ: dict[str, str]) -> float:
    """Start a program; return how long until its footer is painted."""
    begun = time.perf_counter()
    terminal = Timed(argv, environ)
    terminal.until_bytes(b"STOP")
    took_s = time.perf_counter() - begun
    terminal.give_up()
    return took_s


def processor_s(process: int) -> float:
    """Return the processor time that a process has used."""
    fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def memory_kb(process: int) -> int:
    """Return the resident memory of a process."""
    status = Path(f"/proc/{process}/status").read_text().splitlines()
    return next(int(line.split()[1]) for line in status if line.startswith("VmRSS"))


def be_idle(pairs: Sequence[tuple[Figures, Timed]], seconds: float) -> None:
    """Leave both alone; note what each used meanwhile."""
    before = [processor_s(terminal.process) for _, terminal in pairs]
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        for _, terminal in pairs:
            terminal.calm()
        time.sleep(0.2)
    for (figures, terminal), used in zip(pairs, before, strict=True):
        figures.idle = (processor_s(terminal.process) - used) / seconds
        figures.memory_kb = memory_kb(terminal.process)


def finish(person: AtScreen, terminal: Timed) -> list[int]:
    """Do the rest of the job; return the bytes of each step."""
    steps = []
    while (page := person.question()) is not None:
        before = terminal.received
        person.answer(page)
        if person.question() is not None:
            steps.append(terminal.received - before)
    return steps


def until_reading(person: AtScreen) -> None:
    """Answer until a reading is to be typed."""
    while (page := person.question()) is not None and "which leaf" not in page.title:
        person.answer(page)


def measure(starts: int, keys: int, idle_s: float, environ: dict[str, str]) -> tuple[Figures, Figures]:
    """Return what was measured of the job and of the bare application."""
    job, bare = Figures(), Figures()
    printer = Program(
        ("simulate", PROFILE, "--listen", "127.0.0.1:0", "--seed", "7", "--speed", str(SPEED)),
        Path(environ["TRAMWRIGHT_HOME"]),
    )
    port = printer.until("SIMULATED printer").rpartition("--port ")[2]
    call = (sys.executable, "-m", "wizard", "level", PROFILE, "--port", port, "--speed", SPEED)
    call = (*call, "--nozzle", "brass")
    for nth in range(-1, starts):
        for figures, argv in ((job, call), (bare, BARE)):
            took_s = first_paint_s(argv, environ)
            figures.first_paint_s += [took_s] if nth >= 0 else []  # the first fills the caches
    terminals = Timed(call, environ), Timed(BARE, environ)
    person = AtScreen(Person(load(PROFILE), HandsByWord(printer), "leaves"), terminals[0])
    until_reading(person)
    pairs = tuple(zip((job, bare), terminals, strict=True))
    for _ in range(keys):
        for figures, terminal in pairs:
            took_s, cost = terminal.key(random.choice("123456789"))
            figures.key_s.append(took_s)
            figures.key_bytes.append(cost)
            terminal.key("\x7f")
    be_idle(pairs, idle_s)
    job.step_bytes = finish(person, terminals[0])
    for terminal in terminals:
        terminal.give_up()
    printer.give_up()
    return job, bare


Row = tuple[str, Callable[[Figures], float], str, str]
ROWS: tuple[Row, ...] = (
    ("first paint, ms, median", lambda f: 1e3 * statistics.median(f.first_paint_s), ".0f", "1.25 x"),
    ("key to repaint, ms, median", lambda f: 1e3 * statistics.median(f.key_s), ".1f", "1.2 x"),
    (
        "key to repaint, ms, 99 of 100",
        lambda f: 1e3 * statistics.quantiles(f.key_s, n=100)[98],
        ".1f",
        "1.2 x",
    ),
    ("bytes for a digit, median", lambda f: statistics.median(f.key_bytes), ".0f", "400"),
    ("bytes for a digit, 99 of 100", lambda f: statistics.quantiles(f.key_bytes, n=100)[98], ".0f", "400"),
    ("bytes for a step, median", lambda f: statistics.median(f.step_bytes or [0]), ".0f", "3000"),
    ("bytes for a step, most", lambda f: max(f.step_bytes or [0]), ".0f", "3000"),
    ("memory, MB", lambda f: f.memory_kb / 1024, ".1f", "1.3 x"),
    ("idle, % of a core", lambda f: 100 * f.idle, ".2f", "1"),
)


def table(job: Figures, bare: Figures) -> str:
    """Return a row for each figure: the job's, the bare application's, their ratio, what is to be reached."""
    lines = [f"{'':32}{'job':>9}{'bare':>9}{'ratio':>8}   to reach"]
    for name, figure, form, reach in ROWS:
        ours, theirs = figure(job), figure(bare)
        ratio = f"{ours / theirs:8.2f}" if theirs else f"{'':8}"
        lines.append(f"{name:32}{ours:9{form}}{theirs:9{form}}{ratio}   {reach}")
    return "\n".join(lines)


def environment(folder: Path) -> dict[str, str]:
    """Return what both are started with: compiled once, as an installed program is; a folder of its own."""
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    os.environ.pop("COLORTERM", None)  # SSH does not forward it
    return {"PYTHONPYCACHEPREFIX": str(folder / "compiled"), "TRAMWRIGHT_HOME": str(folder)}


def main() -> None:
    """Measure and print the table."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--starts", type=int, default=15)
    parser.add_argument("--keys", type=int, default=200)
    parser.add_argument("--idle", type=float, default=20.0)
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        print(table(*measure(args.starts, args.keys, args.idle, environment(Path(folder)))))


if __name__ == "__main__":
    main()
