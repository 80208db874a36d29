"""Only what changes is written to the terminal; but what something else wrote there can be got rid of."""

from __future__ import annotations

import sys
from collections.abc import Iterator

import pytest

from tests.journeys.terminal import Terminal

FIRST = "Read this first"


@pytest.fixture
def terminal() -> Iterator[Terminal]:
    terminal = Terminal([sys.executable, "-m", "wizard", "demo", "--seed", "7"])
    terminal.shows(FIRST)
    yield terminal
    terminal.give_up()


def written_across(terminal: Terminal) -> list[str]:
    """Have something else write across the screen, as a host may; return what stood there."""
    stood = list(terminal.screen.display)
    terminal.screen.cursor_position(3, 1)
    terminal.screen.draw("disk almost full")
    assert FIRST not in terminal.text()
    return stood


def test_help_opened_and_closed_paints_all_anew(terminal: Terminal) -> None:
    stood = written_across(terminal)
    terminal.type("\x1bOP")  # F1
    terminal.shows("Esc closes this")
    terminal.type("\x1b")
    terminal.shows(FIRST)
    assert terminal.screen.display == stood


def test_a_terminal_that_was_let_go_and_taken_again_is_painted_anew(terminal: Terminal) -> None:
    """It tells its size again, though that is the same."""
    stood = written_across(terminal)
    terminal.tell_size()
    terminal.shows(FIRST)
    assert terminal.screen.display == stood


def test_a_size_that_the_shell_has_exported_does_not_hide_a_resize() -> None:
    """COLUMNS and LINES as they were when the shell began; the terminal has had another size since."""
    terminal = Terminal(
        [sys.executable, "-m", "wizard", "demo", "--seed", "7"], {"COLUMNS": "60", "LINES": "20"}
    )
    try:
        terminal.shows(FIRST)
        terminal.until(lambda: "STOP" in terminal.row(-1))
        terminal.tell_size(100, 30)
        terminal.until(lambda: "STOP" in terminal.row(-1) and FIRST in terminal.text())
    finally:
        terminal.give_up()


def test_in_a_window_of_another_size_nothing_of_the_old_picture_is_left(terminal: Terminal) -> None:
    """Live, from 80 x 24 to 100 x 30."""
    written_across(terminal)
    terminal.tell_size(100, 30)
    terminal.until(lambda: "STOP" in terminal.row(-1) and FIRST in terminal.text())
    assert "disk" not in terminal.text()
    assert len(terminal.row(-1)) == 100
