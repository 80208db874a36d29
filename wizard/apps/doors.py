"""The doors into the screens: open the program, or run one job, on the terminal that is there."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping, MutableMapping
from contextlib import suppress
from typing import TYPE_CHECKING

from wizard import exits

if TYPE_CHECKING:
    from wizard.facts import Facts
    from wizard.screens.drives import MakeSession
    from wizard.screens.history_desk import HistoryDesk
    from wizard.screens.home_choices import Picked
    from wizard.widgets.marks import Marks
    from wizard.widgets.virtual_bench import VirtualBench

OVER_SSH = "over SSH a terminal comes with ssh -t; "
WITHOUT_TERMINAL = (
    "the screens need a terminal that can be drawn on. Without one use: tramwright level PROFILE --plain"
    " (and so recheck, survey, demo), tramwright demo --auto, tramwright solve PROFILE ROUNDS,"
    " tramwright profiles list, tramwright ports, tramwright history list"
)


def why_no_screens(environ: Mapping[str, str]) -> str:
    """Return why no screen can be drawn here, and what works instead; "" where it can."""
    if environ.get("TERM", "") in ("", "dumb") or not (sys.stdin.isatty() and sys.stderr.isatty()):
        return OVER_SSH + WITHOUT_TERMINAL if environ.get("SSH_CONNECTION") else WITHOUT_TERMINAL
    return ""


def follow_the_window(environ: MutableMapping[str, str]) -> None:
    """Have the screens go by the terminal's own size: COLUMNS and LINES, once exported, hide a resize.

    Where the terminal tells no size, as over a serial line, or is not there, they are all that is known.
    """
    try:
        columns, rows = os.get_terminal_size(sys.__stdout__.fileno() if sys.__stdout__ else -1)
    except (OSError, ValueError):
        return
    if columns > 0 and rows > 0:
        environ.pop("COLUMNS", None)
        environ.pop("LINES", None)


def look_of(environ: Mapping[str, str]) -> tuple[Marks, str]:
    """Return the marks and the theme for this terminal."""
    from wizard.widgets.marks import marks_for
    from wizard.widgets.theme import BARE, DARK, LIGHT

    marks = marks_for(environ, _encoding(environ))
    if environ.get("NO_COLOR") or _has_no_colour(environ.get("TERM", "")):
        return marks, BARE.name
    # Some terminals tell their colours as "foreground;background"; 7 and 15 are light grounds.
    light = environ.get("COLORFGBG", "").rpartition(";")[2] in ("7", "15")
    return marks, (LIGHT if light else DARK).name


def _encoding(environ: Mapping[str, str]) -> str | None:
    """Return the encoding that the terminal takes, as far as it is known.

    Where no locale is told, as over SSH, UTF-8 is taken for granted; but a multiplexer takes ASCII
    then, and shows one and the same stand-in for every other character.
    """
    in_multiplexer = environ.get("TMUX") or environ.get("STY")
    if in_multiplexer and sys.flags.utf8_mode and not environ.get("PYTHONUTF8"):
        return None
    return getattr(sys.__stderr__, "encoding", None)


def _has_no_colour(term: str) -> bool:
    """Whether this is one of the terminals that never had colour (terminfo names: vt..., ...-m, ...-mono)."""
    return term.startswith("vt") or term.endswith(("-m", "-mono"))


def run_job(
    make_session: MakeSession, facts: Facts, bench: VirtualBench | None = None, record: str = ""
) -> int:
    """Run one job on the screens; return the exit code. Where there is no terminal, say so and return 2.

    `make_session(listener)` is called once the first screen is painted, on the loop's own thread.
    record: where the record of the run is kept.
    """
    refusal = why_no_screens(os.environ)
    if refusal:
        print(f"tramwright: {refusal}", file=sys.stderr)
        return exits.WRONG_INPUT
    from wizard.apps.job import JobApp
    from wizard.config import keys_in_force

    follow_the_window(os.environ)
    marks, theme = look_of(os.environ)
    keys = keys_in_force()
    app = JobApp(make_session, facts, bench, marks=marks, theme=theme, keys=keys, record=record)
    code = app.run(mouse=False)
    with suppress(OSError):  # the terminal may be gone
        print(*app.last_lines, sep="\n", flush=True)
    return exits.MACHINE_FAULT if code is None else code


def browse(desk: HistoryDesk) -> int:
    """Show records on the screen until the person leaves. Where there is no terminal, say so and return 2."""
    refusal = why_no_screens(os.environ)
    if refusal:
        print(f"tramwright: {refusal}", file=sys.stderr)
        return exits.WRONG_INPUT
    from wizard.apps.history import HistoryApp
    from wizard.config import keys_in_force

    follow_the_window(os.environ)
    marks, theme = look_of(os.environ)
    history = HistoryApp(desk, marks=marks, theme=theme, keys=keys_in_force())
    history.run(mouse=False)
    return history.return_code or exits.WITHIN


def pick() -> Picked | int:
    """Ask for a machine and a way to reach it. Returns an exit code where nothing was picked."""
    refusal = why_no_screens(os.environ)
    if refusal:
        print(f"tramwright: {refusal}", file=sys.stderr)
        return exits.WRONG_INPUT
    from wizard.apps.home import HomeApp
    from wizard.config import keys_in_force
    from wizard.history.standing import is_proven, standing

    follow_the_window(os.environ)
    marks, theme = look_of(os.environ)
    home = HomeApp(is_proven=is_proven, on_record=standing, marks=marks, theme=theme, keys=keys_in_force())
    picked = home.run(mouse=False)
    return (home.return_code or exits.WITHIN) if picked is None else picked
