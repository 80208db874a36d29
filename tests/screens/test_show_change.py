"""What a recheck has found, on the screen: words, figures, and a key for each way on."""

from __future__ import annotations

from typing import Any

import pytest

from wizard.facts import Facts
from wizard.requests import CLOSE, LEVEL_NOW, SET_HEIGHT, Chosen, ShowChange
from wizard.since import Change
from wizard.solver.finding import Finding

WAYS = (SET_HEIGHT, LEVEL_NOW, CLOSE)


@pytest.mark.parametrize(("key", "option"), [("h", SET_HEIGHT), ("v", LEVEL_NOW), ("enter", CLOSE)])
async def test_each_way_on_has_its_key(
    play: Any, facts: Facts, finding: Finding, key: str, option: str
) -> None:
    change = Change("height", 0.97, -0.08, 0.006, 12.0, ("front left", "centre"), finding)
    async with play(ShowChange(change, WAYS), size=(80, 24)) as job:
        await job.pilot.press(key)
        await job.pilot.pause()
        assert job.session.replies == [Chosen(option)]


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_the_answer_stands_there_with_its_figure(
    play: Any, facts: Facts, finding: Finding, size: tuple[int, int]
) -> None:
    change = Change(
        "tilt", 0.99, -0.01, 0.006, 12.0, ("front left",), finding, place="back left", place_mm=-0.06
    )
    async with play(ShowChange(change, (LEVEL_NOW, CLOSE)), size=size) as job:
        shown = job.app.export_screenshot().replace("&#160;", " ")
        for told in ("dropped by 0.06", "12 days", "level the bed now"):
            assert told in shown, told
