"""The pictures in README.md are what the program draws.

After a wanted change: TRAMWRIGHT_NEW_PICTURE=1 pytest tests/screens/test_readme_picture.py
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
import pytest

from wizard.facts import Facts
from wizard.requests import Checks, ShowResult, Turn
from wizard.rounds import Reading, Round
from wizard.solver.finding import Finding, PointFinding, Shape

FIRST = {
    "front left": Reading(0.05, 0.10, "leaf"),
    "front right": Reading(0.20, 0.25, "leaf"),
    "back right": Reading(0.15, 0.20, "leaf"),
    "back left": Reading(0.50, None, "leaf"),
    "centre": Reading(0.30, 0.40, "leaf"),
}
LAST = dict.fromkeys(FIRST, Reading(0.15, 0.20, "leaf")) | {"centre": Reading(0.10, 0.15, "leaf")}


@pytest.fixture
def level() -> Finding:
    """A plate that is level within the tolerance at every point."""
    gaps = {"front left": 0.16, "front right": 0.17, "back right": 0.16, "back left": 0.17, "centre": 0.14}
    return Finding(
        verdict="within",
        status="level",
        points={name: PointFinding(gap, 0.012, gap - 0.15, gap) for name, gap in gaps.items()},
        shape=Shape(0.05, 0.02, 0.01, 0.02, 0.03, 0.03),
    )


def _tidy(svg: str) -> str:
    """Return the picture as it is kept: no random name, no font from elsewhere, no frame of a desktop."""
    svg = re.sub(r"terminal-\d+-", "terminal-", svg)
    svg = re.sub(r"\s*@font-face \{.*?\}", "", svg, flags=re.DOTALL)
    svg = re.sub(r"<circle [^>]*/>", "", svg)
    svg = re.sub(r'<text class="terminal-title".*?</text>', "", svg, flags=re.DOTALL)
    return re.sub(
        r"[ \t]+\n", "\n", re.sub(r"font-family: Fira Code, monospace", "font-family: monospace", svg)
    )


def _same(name: str, drawn: str) -> None:
    picture = Path(__file__).parent / name
    if os.environ.get("TRAMWRIGHT_NEW_PICTURE"):
        picture.write_text(drawn, encoding="utf-8")
    assert picture.read_text(encoding="utf-8") == drawn


async def test_the_turn_in_the_readme_is_what_the_program_draws(
    play: Callable[..., Any], facts: Facts, finding: Finding
) -> None:
    told = msgspec.structs.replace(facts, simulated=True)
    async with play(Turn(finding.turns, 1, False, finding), told=told) as job:
        await job.pilot.press("enter")
        await job.pilot.pause()
        _same("readme.svg", _tidy(job.app.export_screenshot()))


async def test_the_result_in_the_readme_is_what_the_program_draws(
    play: Callable[..., Any], facts: Facts, level: Finding
) -> None:
    """In a large window, after two rounds: the bed before and after, the table, a section."""
    first = Round(readings=FIRST, turned={"front left": 0.25, "back left": -0.4375})
    told = msgspec.structs.replace(facts, simulated=True, rounds=(first, Round(readings=LAST)), readings=LAST)
    result = ShowResult(level, 2, True, Checks(gauge=len(level.points), passed=True))
    async with play(result, size=(120, 40), told=told, record="runs/2026-03-01-bench-square.jsonl") as job:
        _same("readme-result.svg", _tidy(job.app.export_screenshot()))


def test_the_readme_shows_these_pictures_and_no_others() -> None:
    readme = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    shown = re.findall(r"!\[[^\]]*\]\(([^)]*)\)", readme)
    assert shown == ["tests/screens/readme.svg", "tests/screens/readme-result.svg"]
