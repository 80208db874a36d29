"""A job by keys: messages first. The session is scripted; what the screen asks of it is checked."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec
import pytest

from drivers.interface import LineRecord, Status
from profiles.grid import GridValue
from wizard import exits
from wizard.apps.job import JobApp
from wizard.facts import Facts
from wizard.requests import (
    ChangeHeightByMenu,
    Confirm,
    EnterGrid,
    Feel,
    Felt,
    HeightChanged,
    Outcome,
    Park,
    ReadingTaken,
    ShowResult,
    Soak,
    TakeReading,
    Turn,
    Turned,
)
from wizard.rounds import Reading
from wizard.running.events import Asked, Faulted, LineSeen, Notice, StatusChanged, Working
from wizard.running.flow import Event as Happens
from wizard.screens.ended import FaultScreen, StoppedScreen
from wizard.screens.help import HelpScreen
from wizard.screens.job import JobScreen, Told
from wizard.screens.log import LogLines, LogScreen
from wizard.solver.finding import Finding
from wizard.widgets.bed_map import BedMap
from wizard.widgets.keys_bar import KeysBar
from wizard.widgets.page_words import Body
from wizard.widgets.status_line import StatusLine
from wizard.widgets.title import Title

READING = TakeReading("front right", 0.2, 1, 4, 5, "first", 0.15)
FEEL = Feel("front right", 0.25, 0.10, 1, 4, 5, "first")
FAULT = Faulted("LinkLost", "The line is gone. Plug it in, then try again.", ("> N1 M105*1", "< [b]ok[/b]"))
Play = Callable[..., Any]


def _text(widget: Any) -> str:
    return widget.render().plain


async def test_events_reach_the_screen_as_messages_and_in_order(facts: Facts) -> None:
    """The listener only posts: nothing of the state changes before the handler runs."""
    posted: list[Any] = []
    screen = JobScreen(facts)
    screen.post_message = posted.append  # type: ignore[method-assign,assignment]
    events = [
        Asked(READING, facts, True),
        LineSeen(LineRecord(">", "x")),
        Working(Park("centre", 0.2), facts),
    ]
    for event in events:
        screen.listener(event)
    assert [message.event for message in posted] == events
    assert all(isinstance(message, Told) for message in posted)
    assert screen.state.request is None


async def test_a_typed_reading_is_answered(play: Play) -> None:
    async with play(READING) as job:
        await job.pilot.press(*"0.15", "enter")
        assert job.session.replies == [ReadingTaken(Reading(0.15, 0.20, "leaf"))]


async def test_a_key_of_the_step_is_answered(play: Play) -> None:
    async with play(FEEL) as job:
        await job.pilot.press("f")
        assert job.session.replies == [Felt("free")]


async def test_a_key_hit_twice_answers_only_once(play: Play, facts: Facts) -> None:
    """Until the next step is asked, no key answers; a refused answer can be given anew."""
    async with play(FEEL) as job:
        job.session.refuses = "not yet"
        await job.pilot.press("f")
        job.session.refuses = ""
        await job.pilot.press("f", "f", "t")
        assert job.session.replies == [Felt("free")]
        job.session.step(FEEL, facts)
        await job.pilot.pause()
        await job.pilot.press("t")
        assert job.session.replies == [Felt("free"), Felt("tight")]


async def test_common_keys_reach_the_session(play: Play) -> None:
    async with play(READING) as job:
        await job.pilot.press("b", "p")
        assert job.session.asked == ["back"]
        assert job.screen.state.flow == "paused"
        await job.pilot.press("g")
        assert job.screen.state.flow == "asking"


async def test_nothing_is_answered_while_paused(play: Play) -> None:
    async with play(FEEL) as job:
        await job.pilot.press("p", "f", "k", "1", "enter")
        assert job.session.replies == []


async def test_turns_are_made_by_the_virtual_hand_as_they_are_ticked(
    play: Play, finding: Finding, bench: Any
) -> None:
    async with play(Turn(finding.turns, 1, False, finding), bench=bench) as job:
        await job.pilot.press("enter")
        assert bench.turned == [("front left", 0.25)]
        await job.pilot.press("enter", "enter", "enter")
        assert job.session.replies == [Turned(finding.turns)]
        assert dict(bench.turned) == finding.turns


async def test_a_turn_that_is_taken_back_is_turned_back(
    play: Play, finding: Finding, bench: Any, facts: Any
) -> None:
    """Asked again with fewer answers than the turn was the last of, the screw stands as it stood before."""
    turn = Turn(finding.turns, 1, False, finding)
    async with play(turn, bench=bench) as job:
        await job.pilot.press("enter", "enter", "enter", "enter")
        assert dict(bench.turned) == finding.turns
        job.session.step(READING, msgspec.structs.replace(facts, answers=facts.answers + 1))
        await job.pilot.pause()
        assert dict(bench.turned) == finding.turns
        job.session.step(turn, facts)
        await job.pilot.pause()
        assert {name: _sum(bench.turned, name) for name in finding.turns} == dict.fromkeys(finding.turns, 0.0)
        await job.pilot.press("enter")
        assert _sum(bench.turned, "front left") == finding.turns["front left"]


def _sum(turned: list[tuple[str, float]], name: str) -> float:
    return sum(turns for each, turns in turned if each == name)


async def test_numbers_of_a_grid_are_typed_in_once_confirmed(play: Play, bench: Any) -> None:
    values = (GridValue(0, 0, (20.0, 20.0), 0.03),)
    async with play(EnterGrid(values), bench=bench) as job:
        assert bench.turned == []
        await job.pilot.press(job.screen.desk.page.choices[0].key)
        assert bench.turned == [("grid", 1)]


async def test_the_virtual_gauge_finds_a_reading_that_enter_takes(play: Play, bench: Any) -> None:
    """0.25 mm is the thickest leaf that slides at this bench."""
    async with play(READING, bench=bench) as job:
        await job.pilot.press(*"vvvv", "enter")
        assert job.session.replies == [ReadingTaken(Reading(0.25, 0.30, "leaf"))]


async def test_the_virtual_hand_sets_the_height_that_the_person_says(
    play: Play, finding: Finding, bench: Any
) -> None:
    async with play(ChangeHeightByMenu(0.05, finding), bench=bench) as job:
        await job.pilot.press("o", *"0.03", "enter")
        assert job.session.replies == [HeightChanged(0.03)]
        assert bench.turned == [("nozzle", 0.03)]


async def test_without_a_bench_there_is_no_virtual_gauge(play: Play) -> None:
    async with play(READING) as job:
        await job.pilot.press("v", "enter")
        assert job.session.replies == []
        assert not job.screen.query_one("#bench").display


@pytest.mark.parametrize("before", [(), ("f1",), ("l",), ("l", "a"), ("0", "1"), ("k",), ("p",)])
async def test_stop_is_one_key_from_everywhere(play: Play, before: tuple[str, ...]) -> None:
    """From the step, help, log, a search, half a typed reading, the reasons for skipping, a pause."""
    async with play(READING) as job:
        await job.pilot.press(*before, "x")
        assert job.session.asked == ["stop"]
        assert isinstance(job.app.screen, StoppedScreen)


async def test_caps_lock_changes_no_key(play: Play) -> None:
    async with play(FEEL) as job:
        await job.pilot.press("D", "X")
        assert job.session.replies == [Felt("drag")]
        assert job.session.asked == ["stop"]


@pytest.mark.parametrize(
    ("stopped", "going", "done"),
    [
        ("confirmed", "Stopping: the machine has confirmed.", "Stopped: the machine has confirmed."),
        ("written", "Stopping: not confirmed yet.", "Stopped, but NOT confirmed by the machine."),
        ("not written", "The stop could NOT be sent.", "The stop could NOT be sent."),
    ],
)
async def test_the_screen_says_whether_the_machine_confirmed_the_stop(
    play: Play, stopped: Any, going: str, done: str
) -> None:
    """What is said changes as more is known, and once more when the session has ended."""
    async with play(READING) as job:
        await job.pilot.press("x")
        title = job.app.screen.query_one(Title)
        job.session.listener(StatusChanged(Status(stopped=stopped)))
        while title.sentence != going:
            await job.pilot.pause()
        job.session.end()
        while title.sentence != done or not job.app.screen.ended:
            await job.pilot.pause()
        await job.pilot.press("q")
        assert job.app.return_value == exits.STOPPED


async def test_a_fault_that_is_over_is_taken_away_with_what_lies_over_it(play: Play) -> None:
    """As when a lost line is there again: the job goes on by itself to its next question."""
    async with play(READING) as job:
        job.session.happens(Happens.FAULT)
        job.session.listener(FAULT)
        await job.pilot.pause()
        await job.pilot.press("f1")
        assert isinstance(job.app.screen, HelpScreen)
        job.session.happens(Happens.RETRY)
        await job.pilot.pause()
        assert job.app.screen is job.app.job


async def test_a_job_cannot_be_left_without_stopping_the_machine(play: Play) -> None:
    async with play(READING) as job:
        await job.pilot.press("q")
        assert job.session.asked == []
        assert job.app.is_running
        await job.pilot.press("ctrl+q")
        assert job.session.asked == ["stop"]


async def test_stop_stands_in_the_footer_of_every_step(play: Play, facts: Facts, finding: Finding) -> None:
    async with play() as job:
        for request in (
            Confirm("hands-clear"),
            READING,
            Turn(finding.turns, 1, False, finding),
            Park("centre", 0.2),
        ):
            job.session.step(request, facts)
            await job.pilot.pause()
            assert _text(job.screen.query_one(KeysBar)).startswith(" x  STOP ")


async def test_while_it_moves_the_words_say_hands_clear_and_the_band_is_hatched(play: Play) -> None:
    async with play(Park("centre", 0.2)) as job:
        assert "MOVING: hands clear" in _text(job.screen.query_one(StatusLine))
        assert job.screen.query_one(Title).moving
        assert "/ / /" in _text(job.screen.query_one(Title))


async def test_a_fault_is_told_with_the_lines_and_can_be_tried_again(play: Play) -> None:
    async with play(READING) as job:
        job.session.happens(Happens.FAULT)
        job.session.listener(FAULT)
        await job.pilot.pause()
        assert isinstance(job.app.screen, FaultScreen)
        assert "[b]ok[/b]" in job.app.screen.body_words().plain
        await job.pilot.press("r")
        assert job.session.asked == ["retry"]
        assert job.app.screen is job.app.job


async def test_leaving_after_a_fault_stops_the_session_and_exits_with_its_code(play: Play) -> None:
    async with play(READING) as job:
        job.session.happens(Happens.FAULT)
        job.session.listener(FAULT)
        await job.pilot.pause()
        await job.pilot.press("q")
        assert job.session.asked == ["stop"]
        job.session.end()
        while job.app.return_value is None:
            await job.pilot.pause()
        assert job.app.return_value == exits.MACHINE_FAULT


@pytest.mark.parametrize(
    ("verdict", "proven", "code"),
    [
        ("within", True, exits.WITHIN),
        ("within", False, exits.NOT_WITHIN),
        ("undecided", True, exits.NOT_WITHIN),
    ],
)
async def test_the_exit_code_is_the_outcome(play: Play, verdict: Any, proven: bool, code: int) -> None:
    async with play(READING) as job:
        job.session.end(Outcome(Finding(verdict=verdict, status="level"), 2, proven))
        while job.app.return_value is None:
            await job.pilot.pause()
        assert job.app.return_value == code


async def test_a_session_that_breaks_off_is_told_and_cannot_be_tried_again(play: Play) -> None:
    async with play(READING) as job:
        job.session._end.set_exception(RuntimeError("the journal is of another version"))
        while not isinstance(job.app.screen, FaultScreen):
            await job.pilot.pause()
        assert "another version" in job.app.screen.body_words().plain
        await job.pilot.press("r")
        assert job.session.asked == []
        await job.pilot.press("q")
        assert job.app.return_value == exits.MACHINE_FAULT


async def test_an_answer_that_is_refused_is_told_in_place(play: Play) -> None:
    async with play(FEEL) as job:
        job.session.refuses = "this answer does not fit"
        await job.pilot.press("f")
        assert "this answer does not fit" in _text(job.screen.query_one("#body"))


async def test_help_and_log_lie_over_the_job_and_go_away_again(play: Play) -> None:
    async with play(READING) as job:
        for key, kind in (("f1", HelpScreen), ("question_mark", HelpScreen), ("l", LogScreen)):
            await job.pilot.press(key)
            assert isinstance(job.app.screen, kind)
            await job.pilot.press("escape")
            assert job.app.screen is job.app.job


async def test_the_log_searches_what_is_typed(play: Play) -> None:
    async with play(READING) as job:
        await job.pilot.press("l", *"note")
        title = job.app.screen.query_one(Title)
        assert title.sentence == "Line log: 1 lines, with note."
        await job.pilot.press("escape")
        assert title.sentence == "Line log: 3 lines, type to search."


async def test_text_from_the_machine_is_shown_literally(play: Play) -> None:
    """Neither markup nor escape codes of a machine's line do anything."""
    async with play(READING) as job:
        await job.pilot.press("l")
        shown = "\n".join(
            "".join(segment.text for segment in strip) for strip in job.app.screen._compositor.render_strips()
        )
        assert "[b]note[/b]" in shown
        svg = job.app.export_screenshot()
        assert "\x1b" not in svg


async def test_a_window_too_small_says_so_and_still_stops(play: Play) -> None:
    async with play(READING, size=(50, 15)) as job:
        assert job.screen.query_one("#small").display
        assert not job.screen.query_one("#middle").display
        await job.pilot.resize_terminal(80, 24)
        assert job.screen.query_one("#middle").display
        await job.pilot.resize_terminal(50, 15)
        await job.pilot.press("x")
        assert job.session.asked == ["stop"]


async def test_the_session_is_made_only_once_the_first_screen_is_painted(
    job_app: Callable[..., JobApp],
) -> None:
    app: Any = job_app()
    painted: list[bool] = []
    make = app._make_session

    def watched(listener: Any) -> Any:
        painted.append(app.job.query_one(Title).size.width > 0)
        return make(listener)

    app._make_session = watched
    async with app.run_test() as pilot:
        while not painted:
            await pilot.pause()
    assert painted == [True]


async def test_the_background_can_be_changed_in_help(play: Play) -> None:
    async with play(READING) as job:
        before = job.app.theme
        await job.pilot.press("f1", "c")
        assert job.app.theme != before
        await job.pilot.press("escape")


async def test_right_and_left_turn_the_sheets_of_a_result(
    play: Play, finding: Finding, turned: Facts
) -> None:
    """Verdict, then table, what was stored and record, then the bed as it was first read; round and round."""
    async with play(ShowResult(finding, 2, False), told=turned, record="/home/one/runs/a.jsonl") as job:
        body, drawn = job.screen.query_one("#body", Body), job.screen.query_one("#map", BedMap)
        assert "U=2u" in body.render().plain
        await job.pilot.press("right")
        assert "±U" in body.render().plain
        assert "/home/one/runs/a.jsonl" in body.render().plain
        await job.pilot.press("right")
        assert "as first read" in drawn.render().plain
        await job.pilot.press("right")
        assert "U=2u" in body.render().plain
        assert "as first read" not in drawn.render().plain
        await job.pilot.press("left")
        assert "as first read" in drawn.render().plain
        assert job.session.replies == []


async def test_a_record_that_is_no_longer_written_is_told_nowhere(play: Play, finding: Finding) -> None:
    async with play(READING, record="/home/one/runs/a.jsonl") as job:
        job.session.listener(Notice("no room", unrecorded=True))
        job.session.listener(Asked(ShowResult(finding, 2, False), job.screen.state.facts, False))
        await job.pilot.pause()
        await job.pilot.press("right")
        assert "/home/one" not in job.screen.query_one("#body", Body).render().plain
        assert not any("/home/one" in line or "--resume" in line for line in job.app.last_lines)
        assert not job.app.resumes


async def test_the_words_follow_a_window_that_changes(play: Play, finding: Finding) -> None:
    """From a small window to a large one: what stood on sheets stands on one, and the keys stay in sight."""
    async with play(ShowResult(finding, 2, False), size=(80, 24)) as job:
        assert "sheet 1 of" in job.screen.query_one("#body", Body).render().plain
        await job.pilot.resize_terminal(120, 40)
        await job.pilot.pause()
        words = job.screen.query_one("#body", Body).render().plain
        assert "sheet" not in words
        assert "±U" in words
        side = job.screen.query_one("#side")
        assert job.screen.query_one("#choices").region.bottom <= side.region.bottom


async def test_arrows_move_through_the_log(play: Play) -> None:
    async with play(READING) as job:
        for number in range(60):
            job.session.listener(LineSeen(LineRecord("<", f"line {number}")))
        await job.pilot.press("l")
        lines = job.app.screen.query_one(LogLines)
        assert _text(lines).endswith("< line 59")
        await job.pilot.press("up", "up")
        assert _text(lines).endswith("< line 57")
        await job.pilot.press("left", "left", "left", "left")
        assert "> N12 G1" in _text(lines)
        await job.pilot.press("right", "right", "right", "right", "right", "down")
        assert _text(lines).endswith("< line 59")


async def test_a_long_wait_ends_with_a_bell(
    play: Play, facts: Facts, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with play(Soak(5.0)) as job:
        rung: list[bool] = []
        monkeypatch.setattr(job.app, "bell", lambda: rung.append(True))
        job.session.step(READING, facts)
        await job.pilot.pause()
        assert rung == [True]
        job.session.step(FEEL, facts)
        await job.pilot.pause()
        assert rung == [True]
