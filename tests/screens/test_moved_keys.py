"""Keys that the settings have moved: on a running job, in the footer, in the help, and while typing."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from wizard.keymap import key_map
from wizard.requests import Confirm, Confirmed, ReadingTaken, TakeReading
from wizard.rounds import Reading
from wizard.screens.ended import StoppedScreen
from wizard.widgets.keys_bar import KeysBar
from wizard.widgets.page_words import Body, Words

READING = TakeReading("front right", 0.2, 1, 4, 5, "first", 0.15)
MOVED = key_map({"stop": "f9", "pause": "s", "leave out": "m"}, {"y": "j", "w": "e"})
Play = Callable[..., Any]


def _footer(screen: Any) -> str:
    return str(screen.query_one(KeysBar).render())


async def test_stop_is_where_it_was_moved_to_and_its_old_key_stops_nothing(play: Play) -> None:
    async with play(READING, keys=MOVED) as job:
        assert _footer(job.screen).startswith(" f9  STOP ")
        await job.pilot.press("x")
        assert job.session.asked == []
        await job.pilot.press(*"0.15", "f9")
        assert job.session.asked == ["stop"]
        assert isinstance(job.app.screen, StoppedScreen)


async def test_a_moved_answer_answers_and_is_shown(play: Play) -> None:
    async with play(Confirm("hands-clear"), keys=MOVED) as job:
        assert " j " in job.screen.query_one("#choices", Words)._words.plain
        await job.pilot.press("y")
        assert job.session.replies == []
        await job.pilot.press("j")
        assert job.session.replies == [Confirmed()]


async def test_what_is_typed_is_typed_as_it_is(play: Play) -> None:
    """A letter that does something else now, or did, is still a letter in a reading."""
    async with play(READING, keys=MOVED) as job:
        await job.pilot.press(*"10-12thou", "enter")
        assert job.session.replies == [ReadingTaken(Reading(0.254, 0.3048, "leaf"))]


async def test_pause_leaving_out_and_the_help_follow(play: Play) -> None:
    async with play(READING, keys=MOVED) as job:
        await job.pilot.press("m")
        assert job.screen.desk.skipping
        await job.pilot.press("escape", "s")
        assert job.screen.state.flow == "paused"
        await job.pilot.press("f1")
        told = job.app.screen.query_one("#keys-told", Body).render().plain
        assert " s " in told
        assert " p " not in told
        assert " f9 " in told


async def test_whole_numbers_are_hundredths_once_asked_for_and_in_the_next_step_too(
    play: Play, facts: Any
) -> None:
    async with play(READING) as job:
        await job.pilot.press("i", *"15-20", "enter")
        assert job.session.replies == [ReadingTaken(Reading(0.15, 0.2, "leaf"))]
        job.session.step(TakeReading("centre", 0.2, 1, 5, 5, "first", 0.15), facts)
        await job.pilot.pause()
        await job.pilot.press(*"20-25", "enter")
        assert job.session.replies[1] == ReadingTaken(Reading(0.2, 0.25, "leaf"))


async def test_the_log_is_kept_in_a_file_and_offered_to_the_clipboard(play: Play, tmp_path: Any) -> None:
    async with play(READING) as job:
        await job.pilot.press("l", *"note", "enter")
        (kept,) = (tmp_path / "logs").iterdir()
        assert kept.read_text(encoding="utf-8") == "< [b]note[/b] ?[31m\n"
        assert job.app.clipboard == "< [b]note[/b] ?[31m"
        said = job.app.screen.query_one("#said", Body).render().plain
        assert str(kept) in "".join(line.strip() for line in said.split("\n"))
        assert job.session.replies == []


async def test_a_log_that_cannot_be_written_is_told_in_place(play: Play, tmp_path: Any) -> None:
    (tmp_path / "logs").write_text("no folder", encoding="utf-8")
    async with play(READING) as job:
        await job.pilot.press("l", "enter")
        said = job.app.screen.query_one("#said", Body).render().plain
        assert "could not be written" in said
