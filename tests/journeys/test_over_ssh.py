"""The whole job over a real SSH connection, which breaks, and inside a terminal multiplexer.

The printer is the simulated one in a program of its own, where its virtual hand is lent by typed words.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import msgspec
import pytest

from profiles.load import load
from tests.journeys.at_screen import AtScreen
from tests.journeys.program import LIMIT_S, Program
from tests.journeys.ssh_host import Host, serve, why_none
from tests.journeys.terminal import Terminal

PROFILE = "four-corner-220"
SPEED = 5000
DETACH = "\x02d"
"""The multiplexer's own two keys, without a configuration: Ctrl+B, then d."""

pytestmark = pytest.mark.skipif(bool(why_none()), reason=why_none())


@pytest.fixture(scope="module")
def host(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Host]:
    with serve(tmp_path_factory.mktemp("ssh")) as host:
        yield host


@pytest.fixture
def machine(run: Callable[..., Any]) -> Program:
    """The simulated printer; typed at, it lends its virtual hand."""
    return run("simulate", PROFILE, "--listen", "127.0.0.1:0", "--seed", 7, "--speed", SPEED)


@pytest.fixture
def level(machine: Program, tmp_path: Path) -> tuple[object, ...]:
    """The call of the job, as it is typed on the host."""
    port = machine.until("SIMULATED printer").rpartition("--port ")[2]
    return (
        *("env", f"TRAMWRIGHT_HOME={tmp_path}", sys.executable, "-m", "wizard"),
        *("level", PROFILE, "--port", port, "--speed", SPEED, "--nozzle", "brass"),
    )


@pytest.fixture
def over_ssh(host: Host, machine: Program, person: Callable[..., Any]) -> Iterator[Callable[..., AtScreen]]:
    """Sit down before a terminal of 80 x 24 that runs a call on the host."""
    with ExitStack() as ends:

        def sit_down(*argv: object) -> AtScreen:
            terminal = Terminal(host.command(*argv))
            ends.callback(terminal.give_up)
            return AtScreen(person(PROFILE, machine, "card"), terminal)

        yield sit_down


@pytest.fixture
def tmux(tmp_path: Path) -> Iterator[tuple[object, ...]]:
    """The multiplexer's call, with a server and settings of its own; all 24 rows are the job's."""
    (tmp_path / "settings").write_text("set -g status off\n")
    call = ("tmux", "-f", tmp_path / "settings", "-S", tmp_path / "socket")
    yield call
    subprocess.run([*call, "kill-server"], stderr=subprocess.DEVNULL, check=False)


def lines_of(home: Path) -> list[dict[str, Any]]:
    """Return the lines of the one journal."""
    (journal,) = (home / "runs").glob("*.jsonl")
    return [msgspec.json.decode(line) for line in journal.read_bytes().splitlines()]


def steps_of(home: Path) -> list[dict[str, Any]]:
    """Return the answers that are on record."""
    return [line for line in lines_of(home) if line["line"] == "step"]


def look(machine: Program) -> tuple[float, bool]:
    """Return the nozzle's true height and whether both heaters are off, by the simulated printer itself."""
    machine.type("state")
    height = re.search(r"Z(-?[\d.]+)", machine.until("nozzle at about"))
    targets = re.findall(r"/([\d.]+)", machine.line() or "")
    assert height is not None
    assert len(targets) == 2
    return float(height[1]), all(float(target) == 0.0 for target in targets)


def until_safe(machine: Program, home: Path) -> None:
    """Wait until the nozzle is lifted, the heaters are off and the journal says that the run broke off."""
    clearance_mm, end = load(PROFILE).motion.clearance_mm, time.monotonic() + LIMIT_S
    while time.monotonic() < end:
        z_mm, off = look(machine)
        if off and z_mm >= clearance_mm and lines_of(home)[-1]["line"] == "break":
            return
    pytest.fail(f"not safe: {look(machine)}, {lines_of(home)[-1]}")


def ends_proven_and_true(machine: Program, home: Path) -> None:
    """The record says proven; the simulated plate agrees, and nothing was touched on the way."""
    assert lines_of(home)[-1]["line"] == "end"
    machine.type("record")
    machine.type("reveal")
    assert machine.line() == "nothing recorded"
    worst_mm = float(machine.until("worst deviation").split()[-2])
    assert worst_mm <= load(PROFILE).first_layer.tolerance_mm
    machine.type("quit")
    assert machine.ends() == 0


def until_low(person: AtScreen, machine: Program) -> str:
    """Answer until the centre is read, with the nozzle low and the plate hot; return the step."""
    while (page := person.question()) is not None:
        if page.title.startswith("Centre: which leaf"):
            z_mm, off = look(machine)
            assert z_mm < load(PROFILE).motion.clearance_mm
            assert not off
            return page.title
        person.answer(page)
    return pytest.fail("the centre was never read")


def test_a_connection_that_dies_in_mid_round_leaves_the_machine_safe_and_the_job_goes_on(
    over_ssh: Callable[..., AtScreen], level: tuple[object, ...], machine: Program, tmp_path: Path
) -> None:
    """The client is killed; heaters off, nozzle lifted, journal closed; a new connection ends it proven."""
    first = over_ssh(*level)
    asked = until_low(first, machine)
    kept = steps_of(tmp_path)
    first.terminal.kill()
    until_safe(machine, tmp_path)
    second = over_ssh(*level, "--resume")
    page = second.question()
    while page is not None and page.title != asked:
        assert steps_of(tmp_path) == kept  # it is homed again, and no reading is asked for twice
        second.answer(page)
        page = second.question()
    second.answer(page)
    assert second.do() == 0
    assert "The job is finished: " in second.terminal.text()
    assert steps_of(tmp_path)[: len(kept)] == kept
    ends_proven_and_true(machine, tmp_path)


@pytest.mark.skipif(shutil.which("tmux") is None, reason="not installed: tmux")
def test_inside_a_multiplexer_the_job_outlives_the_connection(
    over_ssh: Callable[..., AtScreen],
    level: tuple[object, ...],
    machine: Program,
    tmux: tuple[object, ...],
    tmp_path: Path,
) -> None:
    """Detached in mid-round, the step stands as it was; attached from another connection it ends proven."""
    first = over_ssh(*tmux, "new-session", *level)
    asked = until_low(first, machine)
    assert "(o)" in first.terminal.text()  # no locale came along: marks that every terminal can show
    stood = look(machine)
    first.terminal.type(DETACH)
    assert first.terminal.ends() == 0
    assert look(machine) == stood
    second = over_ssh(*tmux, "attach-session")
    page = second.question()
    assert page is not None
    assert page.title == asked
    second.answer(page)
    assert second.do() == 0
    ends_proven_and_true(machine, tmp_path)
