"""Turns in words: the right fraction, the right way, the right effect."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.machine import Adjuster, Thread
from wizard.instructions import short_turn, turn_words
from wizard.instructions.adjusting import turn_line
from wizard.readings import parse_turns


def screw(**how: object) -> Adjuster:
    """Return an adjuster called "front left"."""
    return Adjuster(**({"name": "front left", "at_mm": (0, 0), "thread": "M3"} | how))


def test_a_turn_is_told_whole() -> None:
    """Fraction, way, side, angle and effect stand in one sentence. M3: 0.5 mm a turn (ISO 261)."""
    words = turn_words(screw(clockwise="lowers"), 0.25)
    assert words.sentence == (
        "front left: a quarter turn clockwise, seen from above (90 degrees): the plate goes down here"
    )
    assert words.effect_mm == pytest.approx(-0.125)
    assert turn_line(words) == "front left: 1/4 turn clockwise, 90 degrees, plate goes down 0.12 mm."


def test_flats_are_told_of_a_hex_only() -> None:
    """A hex has six flats: a quarter turn is one and a half of them."""
    hexed = turn_words(screw(head="hex", clockwise="raises", seen_from="left"), -0.25)
    assert (hexed.flats, hexed.side, hexed.effect) == ("1 and 1/2 flats", "left", "plate goes down here")
    assert "anticlockwise, seen from the left (90 degrees, 1 and 1/2 flats)" in hexed.sentence
    assert turn_words(screw(head="knob"), -0.25).flats == ""


@pytest.mark.parametrize(
    ("turns", "step", "fraction", "in_words", "degrees"),
    [
        (0.0625, 0.0625, "1/16 turn", "a sixteenth of a turn", "22.5 degrees"),
        (0.125, 0.0625, "1/8 turn", "an eighth of a turn", "45 degrees"),
        (0.375, 0.0625, "3/8 turn", "three eighths of a turn", "135 degrees"),
        (0.5, 0.0625, "1/2 turn", "half a turn", "180 degrees"),
        (1.0, 0.0625, "1 turn", "one turn", "360 degrees"),
        (1.375, 0.0625, "1 and 3/8 turns", "one turn and three eighths", "495 degrees"),
        (2.25, 0.0625, "2 and 1/4 turns", "two turns and a quarter", "810 degrees"),
        (0.03125, 0.03125, "1/32 turn", "1/32 turn", "11.25 degrees"),
        (0.35, 0.05, "7/20 turn", "7/20 turn", "126 degrees"),
        (0.13, 0.0625, "about 1/8 turn", "about an eighth of a turn", "46.8 degrees"),
        (0.001, 0.0625, "about 1/16 turn", "about a sixteenth of a turn", "0.36 degrees"),
    ],
)
def test_fractions_are_told_as_the_trade_says_them(
    turns: float, step: float, fraction: str, in_words: str, degrees: str
) -> None:
    """Simplest fraction first, "about" where it is not exact, the angle always the true one."""
    words = turn_words(screw(step_turns=step), turns)
    assert (words.fraction, words.in_words, words.degrees) == (fraction, in_words, degrees)


@given(
    steps=st.integers(-640, 640).filter(bool),
    per_turn=st.sampled_from([4, 6, 8, 12, 16, 20, 24, 32, 64]),
    clockwise=st.sampled_from(["raises", "lowers"]),
)
def test_what_is_told_is_what_is_wanted(steps: int, per_turn: int, clockwise: str) -> None:
    """The words, typed back, are the turn; and the effect has the sign of the physics."""
    turns = steps / per_turn
    if abs(turns) > 20:
        turns /= 20
    words = turn_words(screw(step_turns=1 / per_turn, clockwise=clockwise), turns)
    told = parse_turns(short_turn(words).removeprefix("about "))
    exact = not words.fraction.startswith("about")
    assert told == pytest.approx(turns, abs=1e-6 if exact else 0.5 / 16)
    assert (words.direction == "clockwise") == (turns > 0)
    assert ("rises" in words.effect) == ((turns > 0) == (clockwise == "raises"))
    assert float(words.degrees.split()[0]) == pytest.approx(abs(turns) * 360, abs=0.0051)


def test_an_unknown_way_is_said_to_be_learnt() -> None:
    """Where the profile does not know what clockwise does, no effect is claimed."""
    words = turn_words(screw(clockwise="unknown"), 0.5)
    assert words.effect_mm is None
    assert words.sentence.endswith("which way the plate moves here is learnt from this turn")


def test_the_endstop_screw_moves_the_nozzle() -> None:
    """A thread without a place is the endstop screw: what it moves is the nozzle, everywhere."""
    words = turn_words(Thread(thread="M3", clockwise="raises"), 0.5)
    assert words.name == "endstop screw"
    assert words.effect == "nozzle rises"
    assert words.effect_mm == pytest.approx(0.25)


def test_shims_are_whole_sheets() -> None:
    """A shim's turn is one sheet: sheets are added or taken out, and no angle is told."""
    shim = screw(kind="shim", thread=None, mm_per_turn=0.1, clockwise="raises")
    more, less = turn_words(shim, 2.0), turn_words(shim, -1.0)
    assert more.sentence == "front left: add 2 sheets (0.20 mm): the plate rises here"
    assert short_turn(less) == "take out 1 sheet"
    assert more.degrees == more.flats == more.side == ""


def test_motors_are_told_in_millimetres() -> None:
    """A motor moves by mm, up or down as the plate does."""
    motor = screw(kind="motor", thread=None, mm_per_turn=2.0, clockwise="lowers")
    words = turn_words(motor, 0.1)
    assert words.sentence == "front left: move the motor 0.200 mm down: the plate goes down here"


@given(st.floats(-20, 20))
def test_no_turn_is_told_by_the_face_of_a_clock(turns: float) -> None:
    """Fractions, degrees and flats only."""
    assert not re.search(r"clock(?!wise)|minute|hour", turn_words(screw(head="hex"), turns).sentence)


def test_nothing_to_turn_is_left_alone() -> None:
    """No turn is no instruction to turn."""
    assert turn_words(screw(), 0.0).sentence == "front left: leave it as it is"
