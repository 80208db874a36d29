"""Blocks keep to the open word-address grammar, and templates cannot carry more than one."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drivers import commands as c

# NISTIR 6556 section 3.3: words are a letter and a real value without exponent. One command a block.
REAL = r"[-+]?(?:\d+\.?\d*|\.\d+)"
MOTION = re.compile(rf"G[01](?: [XYZ]{REAL}){{1,3}} F{REAL}")

axis = st.one_of(st.none(), st.floats(-1e5, 1e5))


@given(x=axis, y=axis, z=axis, feed=st.floats(1, 1e5), rapid=st.booleans())
def test_every_motion_block_keeps_to_the_grammar_and_to_a_micrometre(x, y, z, feed, rapid):
    move = c.Move(x_mm=x, y_mm=y, z_mm=z, feed_mm_min=feed, rapid=rapid)
    if x is y is z is None:
        with pytest.raises(ValueError, match="at least one axis"):
            c.encode(move)
        return
    block = c.encode(move)
    assert MOTION.fullmatch(block)
    for letter, value in (("X", x), ("Y", y), ("Z", z)):
        words = re.findall(rf"{letter}({REAL})", block)
        assert len(words) == (value is not None)
        if value is not None:
            assert float(words[0]) == pytest.approx(value, abs=0.0005001)


@given(st.floats(allow_nan=True, allow_infinity=True))
def test_numbers_have_no_exponent_and_no_minus_zero(value):
    if not math.isfinite(value):
        with pytest.raises(ValueError, match="cannot be written"):
            c.number(value)
        return
    text = c.number(value)
    assert re.fullmatch(REAL, text)
    assert text != "-0"


@pytest.mark.parametrize(
    ("command", "block"),
    [
        (c.ABSOLUTE, "G90"),
        (c.MILLIMETRES, "G21"),
        (c.Home(), "G28"),
        (c.SetBed(60.0), "M140 S60"),
        (c.SetNozzle(0.0), "M104 S0"),
        (c.Move(z_mm=0.15, feed_mm_min=120), "G1 Z0.15 F120"),
        (c.Move(x_mm=30, y_mm=-0.0, feed_mm_min=6000, rapid=True), "G0 X30 Y0 F6000"),
        (c.Template("M851 Z-1.25"), "M851 Z-1.25"),
    ],
)
def test_how_each_command_is_written(command, block):
    assert c.encode(command) == block


def test_a_template_is_filled_with_numbers():
    assert c.filled("M173 Z{offset_mm}", offset_mm=-1.25) == c.Template("M173 Z-1.25")


@pytest.mark.parametrize(
    ("template", "why"),
    [
        ("M1 Z{other}", "fields allowed"),
        ("M1 Z{offset_mm", "template"),
        ("M1 Z{offset_mm:>9}", "only letters"),
        ("M1 Z{offset_mm!r}", "only letters"),
        ("M1 Z{0}", "fields allowed"),
        ("M1\nM2", "only letters"),
        ("M1 ; note", "only letters"),
        ("M1 (note)", "only letters"),
        ("M1*33", "only letters"),
        ("", "only letters"),
        (" M1", "only letters"),
        ("1M", "only letters"),
    ],
)
def test_a_template_with_more_in_it_than_one_block_is_refused(template, why):
    with pytest.raises(ValueError, match=why):
        c.filled(template, offset_mm=1.0)


@given(template=st.text(max_size=40), value=st.floats(allow_nan=True, allow_infinity=True))
def test_no_template_and_no_number_makes_more_than_one_plain_block(template, value):
    try:
        block = c.filled(template, offset_mm=value).block
    except ValueError:
        return
    assert re.fullmatch(r"[A-Za-z][A-Za-z0-9.\- ]*", block)
