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

from drivers.commands import Move, encode
from drivers.envelope import Envelope
from profiles.load import load, shipped

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


@pytest.mark.skipif(RS274 is None, reason="the rs274 program is not installed")
@given(
    name=st.sampled_from(sorted(shipped())),
    heights=st.lists(st.floats(0.0, 20.0), min_size=1, max_size=6),
)
@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_an_independent_interpreter_goes_where_the_moves_say(tmp_path, name, heights):
    moves = job_moves(load(name), heights)
    (tmp_path / "tools").write_text("")
    program = tmp_path / "job.ngc"
    program.write_text("\n".join(["G21", "G90", *(encode(move) for move in moves), "M2", ""]))
    told = tmp_path / "told"
    command = [RS274, "-g", "-t", tmp_path / "tools", "-v", tmp_path / "variables", program, told]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    goals = re.findall(rf"STRAIGHT_(TRAVERSE|FEED)\(({REAL}), ({REAL}), ({REAL})", told.read_text())
    assert [kind for kind, *_ in goals] == ["TRAVERSE" if move.rapid else "FEED" for move in moves]
    here = [0.0, 0.0, 0.0]
    for move, (_, *goal) in zip(moves, goals, strict=True):
        wanted = (move.x_mm, move.y_mm, move.z_mm)
        here = [old if new is None else new for old, new in zip(here, wanted, strict=True)]
        assert [float(value) for value in goal] == pytest.approx(here, abs=0.00051)
