"""From one style to the next the terminal gets only the codes that differ, and shows the same."""

from __future__ import annotations

import pyte
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wizard.widgets.pen import Pen, Rendition, change, rendition

COLOURS = st.sampled_from(["", "31", "96", "38;5;230", "38;2;246;243;234"])
GROUNDS = st.sampled_from(["", "44", "105", "48;5;16", "48;2;18;22;26"])
PLAIN = st.frozensets(st.sampled_from(["1", "3", "4", "7", "9"]))
RENDITIONS = st.builds(Rendition, PLAIN, COLOURS, GROUNDS)


def codes(wanted: Rendition) -> str:
    numbers = ";".join(filter(None, (*sorted(wanted.plain), wanted.colour, wanted.ground)))
    return f"\x1b[{numbers}m" if numbers else ""


def shown(written: str) -> pyte.screens.Char:
    screen = pyte.Screen(8, 1)
    pyte.Stream(screen).feed(written + "x")
    return screen.buffer[0][0]


@given(RENDITIONS)
def test_codes_are_read_as_they_are_written(wanted: Rendition) -> None:
    assert rendition(codes(wanted)) == wanted


@given(RENDITIONS, RENDITIONS)
@settings(max_examples=300)
def test_a_change_ends_in_the_style_that_is_wanted_at_no_more_than_all_its_codes(
    now: Rendition, wanted: Rendition
) -> None:
    """On an emulated terminal, from any style to any other."""
    said = change(now, wanted)
    assert shown(codes(now) + said) == shown("\x1b[0m" + codes(wanted))
    assert len(said) <= len("\x1b[0;m" + codes(wanted))


@given(st.lists(st.frozensets(st.sampled_from(["1", "4", "7"])), min_size=2, max_size=2))
def test_without_colours_nothing_newer_than_a_reset_is_used(plain: list[frozenset[str]]) -> None:
    """The oldest terminals know how to begin a rendition, and how to end all of them."""
    said = change(Rendition(plain[0]), Rendition(plain[1]))
    assert set(said.removeprefix("\x1b[").removesuffix("m").split(";")) <= {"0", "1", "4", "7", ""}


def test_bold_and_faint_end_together_and_the_other_begins_anew() -> None:
    now, wanted = rendition("\x1b[1;2;38;5;230m"), rendition("\x1b[2;38;5;230m")
    assert change(now, wanted) == "\x1b[22;2m"


def test_only_the_colour_changes_where_only_the_colour_differs() -> None:
    assert change(rendition("\x1b[1;38;5;230;48;5;16m"), rendition("\x1b[1;31;48;5;16m")) == "\x1b[31m"


@pytest.mark.parametrize("unknown", ["6", "8", "51"])
def test_what_has_no_end_of_its_own_here_is_ended_with_all_the_rest(unknown: str) -> None:
    now = rendition(f"\x1b[{unknown};31m")
    assert change(now, rendition("\x1b[31m")) == "\x1b[0;31m"


def test_a_blank_keeps_what_does_not_show_on_it() -> None:
    pen = Pen()
    ink, ground = "\x1b[1;38;5;230;48;5;16m", "\x1b[48;5;16m"
    pen.write(0, 0, [("a", ink, ground), (" ", ground, ground), ("b", ink, ground)])
    assert pen.written() == f"\x1b[1H{ink}a b\x1b[0m"


def test_nothing_is_in_force_at_the_end() -> None:
    pen = Pen()
    pen.write(2, 1, [("a", "\x1b[1m", "")])
    assert pen.written().endswith("\x1b[0m")


def test_within_a_row_the_cursor_steps_and_elsewhere_it_is_placed() -> None:
    pen = Pen()
    pen.write(3, 1, [("a", "", ""), ("b", "", "")])
    pen.write(9, 1, [("c", "", "")])
    pen.write(2, 1, [("d", "", "")])
    pen.write(0, 4, [("e", "", "")])
    assert pen.written() == "\x1b[2;4Hab\x1b[4Cc\x1b[2;3Hd\x1b[5He"
