"""The picture in README.md is what the program draws.

After a wanted change: TRAMWRIGHT_NEW_PICTURE=1 pytest tests/screens/test_readme_picture.py
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec

from wizard.facts import Facts
from wizard.requests import Turn
from wizard.solver.finding import Finding

PICTURE = Path(__file__).parent / "readme.svg"


def _tidy(svg: str) -> str:
    """Return the picture without its random name, and without a font that would be fetched from elsewhere."""
    svg = re.sub(r"terminal-\d+-", "terminal-", svg)
    svg = re.sub(r"\s*@font-face \{.*?\}", "", svg, flags=re.DOTALL)
    return re.sub(
        r"[ \t]+\n", "\n", re.sub(r"font-family: Fira Code, monospace", "font-family: monospace", svg)
    )


async def test_the_picture_in_the_readme_is_what_the_program_draws(
    play: Callable[..., Any], facts: Facts, finding: Finding
) -> None:
    told = msgspec.structs.replace(facts, simulated=True)
    async with play(Turn(finding.turns, 1, False, finding), told=told) as job:
        await job.pilot.press("enter")
        await job.pilot.pause()
        drawn = _tidy(job.app.export_screenshot())
    if os.environ.get("TRAMWRIGHT_NEW_PICTURE"):
        PICTURE.write_text(drawn, encoding="utf-8")
    assert PICTURE.read_text(encoding="utf-8") == drawn
