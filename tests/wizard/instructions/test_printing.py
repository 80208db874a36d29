"""Wording of the check print: pictures, figures, and the three checks."""

from __future__ import annotations

import msgspec
import pytest

from profiles.load import load
from wizard import requests as ask
from wizard.facts import Facts
from wizard.instructions import page
from wizard.instructions.fitting import BODY_WIDTH, sentences
from wizard.instructions.printing import LOOKS, PICTURES, looks_pictured, triple
from wizard.solver.finding import Finding

FOUR = load("four-corner-220")
FACTS = Facts(FOUR)


def whole(shown):
    """Return the body as one text."""
    return " ".join(sentences(shown.body))


def test_the_five_looks_go_from_loose_to_scraped_and_each_has_a_picture_of_its_own():
    assert list(LOOKS) == [1, 2, 3, 4, 5]
    assert LOOKS[1] == "lines apart, not stuck"
    assert LOOKS[5] == "scraped, rough, no plastic in the middle"
    assert len(set(PICTURES.values())) == 5


def test_the_pictures_stand_side_by_side_in_plain_characters_beside_a_map():
    rows = looks_pictured()
    assert all(row.isascii() for row in rows)
    assert all(len(row) <= BODY_WIDTH for row in rows)
    assert rows[-1].split() == ["1", "2", "3", "4", "5"]
    shown = page(ask.JudgePad("centre", "look", 3, 5, 5), FACTS)
    assert shown.picture == rows
    assert [choice.answer for choice in shown.choices] == [ask.PadSeen(look) for look in LOOKS]


def test_a_pad_is_measured_by_the_tool_that_was_chosen():
    shown = page(ask.JudgePad("centre", "micrometer", 3, 5, 5), FACTS)
    assert shown.title == "How thick is the pad, by micrometer?"
    assert any("0.15 mm" in line for line in shown.body)
    assert shown.entry == "pad"
    assert not {choice.key for choice in shown.choices} & set("0123456789.,mthouinc ")


def test_the_page_before_it_prints_says_how_much_and_not_to_leave():
    body = whole(page(ask.PrintLayer(60.0, 205.0), FACTS))
    assert "Eight pads, one layer of 0.20 mm; 129 mm of filament." in body
    assert "Stay with it" in body


def test_cautions_name_heat_air_and_that_it_is_never_left_alone():
    body = whole(page(ask.Confirm("print-cautions"), FACTS))
    assert "burns at once" in body
    assert "Air the room" in body
    assert "Do not leave it alone" in body
    assert "heaters go off at the end, at a stop and at a fault" in body


def test_a_print_that_was_cut_off_is_said_to_begin_anew():
    shown = page(ask.Confirm("print-anew"), FACTS)
    assert "not continued in mid-layer" in whole(shown)
    assert shown.choices[0].key == "y"


@pytest.mark.parametrize(
    ("checks", "lines"),
    [
        (
            ask.Checks(5, True),
            (
                "Gauge: five points, three rounds.",
                "Proving pass: every point within, nothing turned since.",
                "Print: not done.",
            ),
        ),
        (
            ask.Checks(5, True, True, "within", 5),
            (
                "Gauge: five points, three rounds.",
                "Proving pass: done before the print's corrections, not after.",
                "Print: five pads, every gap within.",
            ),
        ),
        (
            ask.Checks(),
            ("Gauge: not done.", "Proving pass: not done, or it has not proven it.", "Print: not done."),
        ),
        (
            ask.Checks(4, False, False, "undecided", 1),
            (
                "Gauge: four points, three rounds.",
                "Proving pass: not done, or it has not proven it.",
                "Print: one pad, undecided.",
            ),
        ),
    ],
)
def test_each_of_three_checks_has_a_line_and_what_was_not_done_is_said(checks, lines):
    assert triple(checks, 3) == lines
    shown = page(ask.ShowResult(Finding("outside", "underdetermined"), 3, False, checks), FACTS)
    told = whole(shown)
    assert all(line in told for line in lines)


def test_what_keeps_a_print_from_being_made_is_told():
    bare = Facts(msgspec.structs.replace(FOUR, print=None))
    asked = ask.ShowResult(Finding("within", "level"), 2, True, ask.Checks(5, True))
    assert "Print: not done: the description has no [print] part." in whole(page(asked, bare))
    by_hand = Facts(FOUR, by_hand=True)
    assert "Print: not done: there is no line to print over." in whole(page(asked, by_hand))
    assert "Print: not done." in whole(page(asked, FACTS))


def test_the_key_for_a_print_is_there_where_one_can_be_made_and_only_there():
    finding = Finding("within", "level")
    keys = lambda can: [c.key for c in page(ask.ShowResult(finding, 2, True, can_print=can), FACTS).choices]  # noqa: E731
    assert keys(True) == ["enter", "c"]
    assert keys(False) == ["enter"]
