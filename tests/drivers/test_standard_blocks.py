"""Motion blocks that a whole job writes, held to the open grammar and read by an independent interpreter.

The interpreter is the `rs274` program of the Debian package linuxcnc-uspace; the test with it is
skipped where it is not on the path (or named by the environment variable RS274). Homing, waits,
heat and reports are left out: those words mean other things there.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from drivers import commands
from drivers.commands import Draw, Home, Move, Push, SetBed, SetNozzle, encode
from drivers.envelope import Envelope
from drivers.framing import LAST_NUMBER, frame
from profiles.load import load, shipped
from wizard.printing.plan import plan, temperatures_c

# NISTIR 6556 sections 3.3 to 3.3.2.1 and appendix E: line number, words, no exponent; then our checksum.
REAL = r"[-+]?(?:\d+\.?\d*|\.\d+)"
LINE = re.compile(rf"(?:N\d{{1,5}} )?[GM]\d{{1,3}}(?: [A-DF-NP-TX-Z]{REAL})*(?:\*\d{{1,3}})?")
RS274 = os.environ.get("RS274") or shutil.which("rs274")


def job_moves(machine, heights):
    """All moves of going over every point of a machine at some heights, in order."""
    envelope = Envelope(machine)
    envelope.has_homed((machine.motion.x_mm[0], machine.motion.y_mm[0], machine.motion.clearance_mm))
    moves: list[Move] = []
    for point in machine.point:
        moves += carried_out(envelope, envelope.plan_park(point, heights[0]))
        for z_mm in heights[1:]:
            moves += carried_out(envelope, envelope.plan_lower(z_mm))
    return moves


def carried_out(envelope, plan):
    """The plan, once each of its moves was admitted and taken as done."""
    for move in plan:
        envelope.admit(move)
        envelope.carried_out(move)
    return plan


def test_every_line_of_a_job_keeps_to_the_open_grammar(bench, machine):
    async def job(printer, line):
        await printer.connect()
        await printer.warm(60, 150)
        await printer.home()
        for point in machine.point:
            await printer.park(point, 0.2)
            await printer.lower(0.123456)
        await printer.make_safe()
        for text in b"".join(line.written).decode().splitlines():
            assert LINE.fullmatch(text), text
            letters = re.findall(r"[A-Z]", text.partition("*")[0])
            assert len(letters) == len(set(letters)), f"a letter stands twice in {text}"

    bench(job)


def told_goals(folder, moves):
    """What the independent interpreter makes of straight moves: (TRAVERSE or FEED, x, y, z) of each, mm."""
    (folder / "tools").write_text("")
    program, told = folder / "job.ngc", folder / "told"
    program.write_text("\n".join(["G21", "G90", *(axes_only(encode(move)) for move in moves), "M2", ""]))
    command = [RS274, "-g", "-t", folder / "tools", "-v", folder / "variables", program, told]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    goals = re.findall(rf"STRAIGHT_(TRAVERSE|FEED)\(({REAL}), ({REAL}), ({REAL})", told.read_text())
    return [(kind, *(float(value) for value in goal)) for kind, *goal in goals]


def axes_only(block):
    """Without the length of filament: that word is not in RS-274."""
    return re.sub(r" E\S+", "", block)


def wanted_goals(moves):
    """Where straight moves lead, from the blocks' own values."""
    goals, here = [], [0.0, 0.0, 0.0]
    for move in moves:
        to = (move.x_mm, move.y_mm, getattr(move, "z_mm", None))
        here = [old if new is None else new for old, new in zip(here, to, strict=True)]
        goals.append(("TRAVERSE" if getattr(move, "rapid", False) else "FEED", *here))
    return goals


def agrees(folder, moves):
    """The interpreter goes where the blocks say, to half a micrometre and its own rounding."""
    told, wanted = told_goals(folder, moves), wanted_goals(moves)
    assert [kind for kind, *_ in told] == [kind for kind, *_ in wanted]
    for (_, *goal), (_, *want) in zip(told, wanted, strict=True):
        assert goal == pytest.approx(want, abs=0.00051)


with_interpreter = pytest.mark.skipif(RS274 is None, reason="the rs274 program is not installed")
FEEDS = st.floats(1.0, 30000.0)
PLACES = st.floats(-1000.0, 1000.0)
SOME = st.one_of(st.none(), PLACES)
MOVES = st.builds(Move, x_mm=SOME, y_mm=SOME, z_mm=SOME, feed_mm_min=FEEDS, rapid=st.booleans()).filter(
    lambda move: (move.x_mm, move.y_mm, move.z_mm) != (None, None, None)
)
DRAWS = st.builds(Draw, x_mm=PLACES, y_mm=PLACES, extrude_mm=st.floats(1e-5, 50.0), feed_mm_min=FEEDS)
OTHERS = st.one_of(
    st.builds(Push, extrude_mm=st.floats(-10.0, 10.0), feed_mm_min=FEEDS),
    st.builds(SetBed, target_c=st.floats(0.0, 150.0)),
    st.builds(SetNozzle, target_c=st.floats(0.0, 400.0)),
    st.sampled_from([each for each in vars(commands).values() if isinstance(each, commands.Plain)]),
    st.just(Home()),
)


@given(block=st.one_of(MOVES, DRAWS, OTHERS), number=st.integers(1, LAST_NUMBER))
def test_every_block_of_any_kind_is_one_command_of_the_grammar(block, number):
    """At most five digits of N, no exponent, no letter twice; E for filament, which printers add."""
    line = frame(number, encode(block)).decode().rstrip("\n")
    assert re.fullmatch(rf"N\d{{1,5}} [GM]\d{{1,3}}(?: [A-FP-TX-Z]{REAL})*\*\d{{1,3}}", line), line
    letters = re.findall(r"[A-Z]", line.partition("*")[0])
    assert len(letters) == len(set(letters))


@with_interpreter
@given(moves=st.lists(st.one_of(MOVES, DRAWS), min_size=1, max_size=60))
@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_an_independent_interpreter_reads_any_motion_block(tmp_path, moves):
    agrees(tmp_path, moves)


@with_interpreter
@given(
    name=st.sampled_from(sorted(shipped())),
    heights=st.lists(st.floats(0.0, 20.0), min_size=1, max_size=6),
)
@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_an_independent_interpreter_goes_where_a_job_says(tmp_path, name, heights):
    agrees(tmp_path, job_moves(load(name), heights))


@with_interpreter
@pytest.mark.parametrize("name", [name for name in sorted(shipped()) if load(name).print is not None])
def test_an_independent_interpreter_goes_where_a_check_print_says(tmp_path, name):
    """All of its lines and travels; filament alone is no motion of axes."""
    machine = load(name)
    blocks = plan(machine, *temperatures_c(machine)).blocks
    moves = [block for block in blocks if isinstance(block, Move | Draw)]
    assert any(isinstance(move, Draw) for move in moves)
    agrees(tmp_path, moves)
