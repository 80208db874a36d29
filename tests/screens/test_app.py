"""The doors: what is said where no screen can be drawn, and which look a terminal gets."""

from __future__ import annotations

import os
import subprocess
import sys
from typing import Any

import pytest

from wizard.apps import doors
from wizard.widgets.marks import FULL


@pytest.mark.parametrize("environ", [{}, {"TERM": ""}, {"TERM": "dumb"}])
def test_a_dumb_terminal_is_refused_with_the_commands_that_need_none(environ: dict[str, str]) -> None:
    why = doors.why_no_screens(environ)
    assert "tramwright demo --auto" in why
    assert "tramwright solve" in why
    assert "tramwright level PROFILE --plain" in why
    assert "\n" not in why


def test_over_ssh_the_way_to_a_terminal_is_told_first() -> None:
    why = doors.why_no_screens({"TERM": "dumb", "SSH_CONNECTION": "192.0.2.1 5000 192.0.2.2 22"})
    assert why.startswith("over SSH a terminal comes with ssh -t")
    assert "--plain" in why


@pytest.mark.parametrize(
    ("environ", "theme"),
    [
        ({"TERM": "xterm-256color"}, "bench-dark"),
        ({"TERM": "xterm-256color", "COLORFGBG": "0;15"}, "bench-light"),
        ({"TERM": "xterm-256color", "COLORFGBG": "15;0"}, "bench-dark"),
        ({"TERM": "xterm-256color", "NO_COLOR": "1"}, "bench-bare"),
        ({"TERM": "xterm-256color", "NO_COLOR": ""}, "bench-dark"),
        ({"TERM": "vt100"}, "bench-bare"),
        ({"TERM": "xterm-mono"}, "bench-bare"),
        ({"TERM": "screen-256color"}, "bench-dark"),
        ({"TERM": "no-such-terminal"}, "bench-dark"),
    ],
)
def test_the_look_follows_the_terminal(environ: dict[str, str], theme: str) -> None:
    """NO_COLOR counts where it is set and not empty (no-color.org)."""
    assert doors.look_of(environ)[1] == theme


@pytest.mark.parametrize(
    ("environ", "plain"),
    [
        ({}, False),
        ({"TMUX": "/tmp/x,1,0"}, True),
        ({"STY": "1.x"}, True),
        ({"TMUX": "/tmp/x,1,0", "LANG": "C.UTF-8"}, False),
    ],
)
def test_a_multiplexer_that_was_told_no_locale_gets_plain_marks(environ: dict[str, str], plain: bool) -> None:
    """It would show one stand-in for all others; a terminal of its own is taken to know UTF-8."""
    code = "import os; from wizard.apps.doors import look_of; print(look_of(os.environ)[0].plain)"
    environ = {"PATH": os.environ["PATH"], "TERM": "tmux-256color", **environ}
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, env=environ
    )
    assert done.stdout.strip() == str(plain)


def test_without_a_terminal_a_job_is_refused_and_nothing_is_begun(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], facts: Any
) -> None:
    monkeypatch.setenv("TERM", "dumb")
    begun: list[object] = []
    assert doors.run_job(begun.append, facts) == 2  # type: ignore[arg-type]
    assert begun == []
    assert "terminal" in capsys.readouterr().err


def test_opening_the_screens_loads_no_numpy() -> None:
    """numpy comes with the solver, after the first paint."""
    code = "import sys, wizard.apps.job, wizard.apps.home; print('numpy' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


async def test_in_the_bare_theme_no_colour_reaches_the_terminal(job_app: Any, facts: Any) -> None:
    job: Any = job_app(theme="bench-bare")
    async with job.run_test() as pilot:
        await pilot.pause()
        filters = job.get_line_filters()
        for strip in job.screen._compositor.render_strips():
            for each in filters:
                strip = strip.apply_filter(each, job.screen.background_colors[1])  # noqa: PLW2901
            for segment in strip:
                for colour in (segment.style.color, segment.style.bgcolor) if segment.style else ():
                    assert colour is None or colour.is_default
    assert job.marks is FULL


@pytest.mark.parametrize(
    ("told", "kept"), [(os.terminal_size((80, 24)), False), (os.terminal_size((0, 0)), True), (None, True)]
)
def test_a_size_in_the_environment_counts_only_where_the_terminal_tells_none(
    monkeypatch: pytest.MonkeyPatch, told: os.terminal_size | None, kept: bool
) -> None:
    """A serial line tells 0 x 0, and what is no terminal tells nothing at all."""

    def size(_: int) -> os.terminal_size:
        if told is None:
            raise OSError(25, "not a terminal")
        return told

    monkeypatch.setattr(os, "get_terminal_size", size)
    environ = {"COLUMNS": "100", "LINES": "40", "TERM": "xterm"}
    doors.follow_the_window(environ)
    assert environ == ({"COLUMNS": "100", "LINES": "40"} if kept else {}) | {"TERM": "xterm"}
