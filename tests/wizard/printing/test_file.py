"""The file, read by others: a reader of RS-274 from a registry, an interpreter, and arithmetic of our own.

Readers: `pygcode` (Python package index), which knows E as a word; and the `rs274` program of the Debian
package linuxcnc-uspace, for the motion without filament and heat, which mean nothing there (skipped where it
is not on the path or named by the environment variable RS274).
"""

from __future__ import annotations

import math
import os
import re
import shutil
import subprocess

import pytest
from pygcode import Line

from wizard.printing.estimate import estimate
from wizard.printing.file import text_of
from wizard.printing.plan import plan, temperatures_c

RS274 = os.environ.get("RS274") or shutil.which("rs274")
REAL = r"[-+]?(?:\d+\.?\d*|\.\d+)"
LINE = re.compile(rf"[GM]\d{{1,3}}(?: [A-FX-Z]{REAL}| S{REAL})*")


@pytest.fixture
def planned(machine):
    return plan(machine, *temperatures_c(machine))


@pytest.fixture
def lines(machine, planned):
    return [line for line in text_of(machine, planned).splitlines() if not line.startswith(";")]


class Reader:
    """Goes through a file word by word as the independent reader gives them; adds up what it does."""

    def __init__(self, lines):
        self.at = {"X": 0.0, "Y": 0.0, "Z": 0.0}
        self.feed = 0.0
        self.filament_mm = self.net_mm = self.seconds = 0.0
        self.low, self.high = [math.inf] * 3, [-math.inf] * 3
        for line in lines:
            words = {word.letter: word.value for word in Line(line).block.words}
            if "G" in words and words["G"] in (0, 1):
                # pygcode keeps three decimals of a word: the fifth of E is read from the line itself
                if filament := re.search(rf"E({REAL})", line):
                    words["E"] = float(filament[1])
                self.move(words)

    def move(self, words):
        before = dict(self.at)
        self.at |= {axis: words[axis] for axis in "XYZ" if axis in words}
        self.feed = words.get("F", self.feed)
        way = math.dist(before.values(), self.at.values())
        filament = words.get("E", 0.0)
        # time: way over feed, uniform motion (kinematics); filament alone moves by its own length
        self.seconds += (way or abs(filament)) / (self.feed / 60.0)
        self.net_mm += filament
        if way and filament:
            self.filament_mm += filament
            for place in (before, self.at):
                self.low = [min(a, b) for a, b in zip(self.low, place.values(), strict=True)]
                self.high = [max(a, b) for a, b in zip(self.high, place.values(), strict=True)]


def test_a_reader_from_a_registry_reads_every_line_back(lines):
    for line in lines:
        assert LINE.fullmatch(line), line
        read = {word.letter: float(word.value) for word in Line(line).block.words}
        stated = {word[0]: float(word[1:]) for word in line.split()}
        assert read == pytest.approx(stated, abs=5.1e-4), line


def test_filament_box_and_time_agree_with_what_the_reader_adds_up(machine, planned, lines):
    motion = machine.motion
    ours = estimate(planned.blocks, (0.0, 0.0, 0.0))
    theirs = Reader(lines)
    assert ours.filament_mm == pytest.approx(theirs.filament_mm, abs=0.002)
    assert ours.box.low_mm == pytest.approx(theirs.low, abs=6e-4)
    assert ours.box.high_mm == pytest.approx(theirs.high, abs=6e-4)
    assert ours.seconds == pytest.approx(theirs.seconds, rel=1e-3)
    assert motion.x_mm[0] <= theirs.low[0] <= theirs.high[0] <= motion.x_mm[1]


def test_the_filament_is_the_volume_that_is_laid_down(machine, planned, lines):
    """Source: conservation of volume; each line counts as width times layer height times its length."""
    part, height_mm = machine.print, machine.first_layer.height_mm
    volume = sum(s.flow * part.line_width_mm * height_mm * s.length_mm for s in planned.strokes)
    assert Reader(lines).filament_mm == pytest.approx(volume / (math.pi * part.filament_mm**2 / 4), rel=1e-3)


def test_a_pad_pressed_to_the_wanted_gap_is_full(machine, planned):
    """Its volume is its area (out to half a line spacing) times the gap."""
    part, layer = machine.print, machine.first_layer
    for pad, stroke in zip(planned.layout.pads, planned.strokes[1:], strict=True):
        volume = part.line_width_mm * layer.height_mm * stroke.length_mm
        spacing = part.line_width_mm * layer.height_mm / layer.gap_mm
        assert volume == pytest.approx((2 * pad.half_mm + spacing) ** 2 * layer.gap_mm, rel=0.08)


def test_it_heats_before_homing_and_ends_with_both_heaters_off(machine, planned, lines):
    assert lines[:2] == ["G21", "G90"]
    assert lines.index(f"M109 S{planned.nozzle_c:g}") < lines.index("G28") < lines.index("M83")
    assert lines[-2:] == ["M104 S0", "M140 S0"]
    assert lines.count("G28") == 1
    heats = [float(line.split("S")[1]) for line in lines if line.startswith(("M104", "M109"))]
    assert max(heats) <= machine.heat.max_nozzle_c


def test_its_comments_are_plain_and_name_the_machine(machine, planned):
    text = text_of(machine, planned)
    assert text.isascii()
    assert all(line.startswith("; ") for line in text.splitlines()[:4])
    assert "Stay with the machine" in text


@pytest.mark.skipif(RS274 is None, reason="the rs274 program is not installed")
def test_an_independent_interpreter_goes_where_the_file_says(tmp_path, lines):
    (tmp_path / "tools").write_text("")
    moves = [re.sub(rf" E{REAL}", "", line) for line in lines if re.match("G[01] [XYZ]", line)]
    program = tmp_path / "print.ngc"
    program.write_text("\n".join(["G21", "G90", *moves, "M2", ""]))
    told = tmp_path / "told"
    command = [RS274, "-g", "-t", tmp_path / "tools", "-v", tmp_path / "variables", program, told]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    goals = re.findall(rf"STRAIGHT_(?:TRAVERSE|FEED)\(({REAL}), ({REAL}), ({REAL})", told.read_text())
    assert len(goals) == len(moves)
    here = [0.0, 0.0, 0.0]
    for line, goal in zip(moves, goals, strict=True):
        stated = {word[0]: float(word[1:]) for word in line.split()}
        here = [stated.get(axis, old) for axis, old in zip("XYZ", here, strict=True)]
        assert [float(value) for value in goal] == pytest.approx(here, abs=0.00051)
