"""The check print on the screen: pictures, typing, the bar, and the lent hand."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from wizard.instructions.printing import looks_pictured
from wizard.requests import AskFilament, Filament, JudgePad, PadMeasured, PadSeen, PrintLayer
from wizard.running.events import PrintTick

Play = Callable[..., Any]


def shown(job: Any) -> str:
    """Return the screen's characters."""
    return "\n".join(strip.text.rstrip() for strip in job.app.screen._compositor.render_strips())


async def test_the_five_looks_are_pictured_on_a_small_terminal_and_a_digit_answers(play: Play) -> None:
    async with play(JudgePad("centre", "look", 3, 5, 5)) as job:
        text = shown(job)
        assert all(row in text for row in looks_pictured()[:3])
        await job.pilot.press("4")
        assert job.session.replies == [PadSeen(4)]


async def test_a_thickness_is_typed(play: Play) -> None:
    async with play(JudgePad("centre", "caliper", 3, 5, 5)) as job:
        await job.pilot.press("0", ".", "1", "6", "enter")
        assert job.session.replies == [PadMeasured(0.16)]


async def test_a_wrong_thickness_is_refused_in_place(play: Play) -> None:
    async with play(JudgePad("centre", "caliper", 3, 5, 5)) as job:
        await job.pilot.press("1", "6", "enter")
        assert job.session.replies == []
        assert "is not from 0.01" in shown(job)


async def test_temperatures_are_taken_as_they_are_or_typed(play: Play) -> None:
    async with play(AskFilament(60.0, 205.0)) as job:
        await job.pilot.press("o", *"60", "space", *"230", "enter")
        assert job.session.replies == [Filament(60.0, 230.0)]
    async with play(AskFilament(60.0, 205.0)) as job:
        await job.pilot.press("enter")
        assert job.session.replies == [Filament(60.0, 205.0)]


async def test_a_bar_tells_how_far_a_print_is(play: Play) -> None:
    async with play(PrintLayer(60.0, 205.0)) as job:
        job.session.listener(PrintTick(163, 326, 64.0))
        await job.pilot.pause()
        text = shown(job)
        assert "50 % printed, 1:04 min left" in text
        assert "MOVING: hands clear" in text


async def test_a_lent_hand_measures_a_pad_and_enter_takes_it(play: Play, bench: Any) -> None:
    async with play(JudgePad("front left", "caliper", 3, 1, 5), bench=bench) as job:
        await job.pilot.press("v")
        assert "The caliper says 0.16 mm." in shown(job)
        await job.pilot.press("enter")
        assert job.session.replies == [PadMeasured(0.16)]


async def test_a_pad_that_cannot_be_measured_is_looked_at(play: Play, bench: Any) -> None:
    async with play(JudgePad("centre", "micrometer", 3, 5, 5), bench=bench) as job:
        await job.pilot.press("v")
        assert "It looks like this: scraped" in shown(job)
        await job.pilot.press("z")
        assert job.session.replies == [PadSeen(5)]
