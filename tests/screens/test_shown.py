"""Only what changes is written, and the terminal shows what it would have shown had all been written."""

from __future__ import annotations

import pyte
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.console import Console
from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip

from wizard.widgets.shown import Shown, runs

COLUMNS, ROWS = 24, 3
STYLES = (
    "",
    "#f6f3ea on #12161a",
    "bold #f6f3ea on #12161a",
    "#b4bcc2 on #12161a",
    "bold reverse #f6f3ea on #12161a",
    "bold #14120d on #efe6cf",
    "underline #f6f3ea on #12161a",
)
CONSOLE = Console(force_terminal=True, color_system="256", width=COLUMNS, _environ={})

words = st.text("ab (●─▶   ", min_size=1, max_size=7)
segments = st.builds(lambda text, style: Segment(text, Style.parse(style)), words, st.sampled_from(STYLES))
rows = st.lists(segments, max_size=6).map(lambda each: Strip(each).adjust_cell_length(COLUMNS, Style.null()))
pictures = st.lists(st.lists(rows, min_size=ROWS, max_size=ROWS), min_size=1, max_size=4)


def seen(written: str) -> list[list[tuple[object, ...]]]:
    """Return what a person sees on a terminal: of a blank that is not marked only its ground."""
    screen = pyte.Screen(COLUMNS, ROWS)
    pyte.Stream(screen).feed(written)
    return [[_visible(screen.buffer[row][column]) for column in range(COLUMNS)] for row in range(ROWS)]


def _visible(cell: pyte.screens.Char) -> tuple[object, ...]:
    if cell.data == " " and not (cell.reverse or cell.underscore):
        return (" ", cell.bg)
    return (cell.data, cell.fg, cell.bg, cell.bold, cell.reverse, cell.underscore)


def whole(picture: list[Strip]) -> str:
    """Return a picture as the drawing library writes it."""
    return "".join(f"\x1b[{row + 1};1H{strip.render(CONSOLE)}" for row, strip in enumerate(picture))


def pieces(picture: list[Strip]) -> list[tuple[int, int, Strip]]:
    return [(0, row, strip) for row, strip in enumerate(picture)]


@settings(max_examples=60)
@given(pictures)
def test_the_terminal_shows_the_last_picture_as_if_all_of_it_had_been_written(
    shown: list[list[Strip]],
) -> None:
    """Whatever pictures came before it, character for character and style for style."""
    terminal = Shown()
    written = "".join(terminal.changes(pieces(picture), CONSOLE) for picture in shown)
    assert seen(written) == seen(whole(shown[-1]))


@settings(max_examples=30)
@given(pictures)
def test_the_same_picture_again_costs_nothing(shown: list[list[Strip]]) -> None:
    terminal = Shown()
    terminal.changes(pieces(shown[-1]), CONSOLE)
    assert terminal.changes(pieces(shown[-1]), CONSOLE) == ""


def test_what_was_forgotten_is_written_again() -> None:
    """After a resize nobody knows what stands there."""
    terminal, picture = Shown(), [Strip([Segment("abc")])]
    first = terminal.changes(pieces(picture), CONSOLE)
    terminal.forget()
    assert terminal.changes(pieces(picture), CONSOLE) == first != ""


@pytest.mark.parametrize("wide", ["漢字", "e\u0301 a"])
def test_characters_of_another_width_are_written_as_they_are_each_time(wide: str) -> None:
    """A wide one takes two cells, an accent none: where they end is left to the terminal."""
    terminal, strip = Shown(), Strip([Segment(wide, Style.parse("bold"))])
    for _ in range(2):
        assert strip.render(CONSOLE) in terminal.changes([(3, 0, strip)], CONSOLE)
    assert terminal.changes([(3, 0, Strip([Segment("ab")]))], CONSOLE).endswith("ab")


def test_a_link_is_written_as_it_is() -> None:
    """Its codes are no colours and no renditions, and are not taken apart."""
    strip = Strip([Segment("here", Style.parse("bold link https://example.org"))])
    assert "https://example.org" in Shown().changes([(0, 0, strip)], CONSOLE)


def test_one_digit_costs_a_step_its_codes_and_itself() -> None:
    terminal = Shown()
    before, after = (Strip([Segment(f"typed 0.1{digit}_", Style.parse("bold"))]) for digit in "56")
    terminal.changes([(40, 12, before)], CONSOLE)
    assert terminal.changes([(40, 12, after)], CONSOLE) == "\x1b[13;50H\x1b[1m6\x1b[0m"


def test_small_gaps_are_bridged_and_wide_ones_stepped_over() -> None:
    before = [(character, "", "") for character in "................"]
    after = [(character, "", "") for character in "x..x..........x."]
    assert runs(before, after) == [(0, 4), (14, 15)]
