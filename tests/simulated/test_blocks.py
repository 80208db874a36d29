"""Received lines: numbers, checksums, words."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drivers.simulated.blocks import LONGEST, Bad, Block, read_block


def sent(numbered, number, block):
    return numbered(number, block).rstrip(b"\n")


def test_a_numbered_block_with_its_checksum_is_taken(numbered):
    block = read_block(sent(numbered, 7, "G1 X10.5 Y-3"), expected=7)
    assert block == Block("G1", {"X": 10.5, "Y": -3.0}, "G1 X10.5 Y-3", 7)


def test_the_checksum_is_the_exclusive_or_of_all_before_the_star():
    """By hand: "N3T0" is 0x4e ^ 0x33 ^ 0x54 ^ 0x30 = 0x19 = 25."""
    assert read_block(b"N3T0*25", expected=3) == Block("T0", {}, "T0", 3)


@pytest.mark.parametrize("wrong", [b"N3T0*26", b"N3T0*", b"N3T0*x", b"N3T1*25", b"N3 T0*25", b"T0*99"])
def test_a_wrong_checksum_is_bad(wrong):
    assert read_block(wrong, expected=3) == Bad("checksum does not match")


def test_every_single_flipped_bit_is_noticed(numbered):
    line = sent(numbered, 12, "G0 X30 Y190 F6000")
    for at in range(len(line)):
        for bit in range(8):
            broken = bytearray(line)
            broken[at] ^= 1 << bit
            taken = read_block(bytes(broken), expected=12)
            assert not (isinstance(taken, Block) and taken.number == 12 and taken.text != "G0 X30 Y190 F6000")


def test_a_number_that_is_not_the_next_is_bad_but_renumbering_may_have_any(numbered):
    assert read_block(sent(numbered, 9, "G28"), expected=7) == Bad("line number 9 is not the next")
    assert isinstance(read_block(sent(numbered, 900, "M110"), expected=7), Block)


def test_a_number_without_a_checksum_is_bad():
    assert read_block(b"N7 G28", expected=7) == Bad("line number without checksum")


@pytest.mark.parametrize("line", [b"", b"   ", b"; only a comment", b"(so is this)", b"\t"])
def test_a_line_with_nothing_in_it_is_nothing(line):
    assert read_block(line, expected=1) is None


@pytest.mark.parametrize(
    ("line", "code", "words"),
    [
        (b"G28", "G28", {}),
        (b"g0x+10y.5z-1.", "G0", {"X": 10.0, "Y": 0.5, "Z": -1.0}),
        (b"G01 X1", "G1", {"X": 1.0}),
        (b"  G1   X 5  F 300 ; down", "G1", {"X": 5.0, "F": 300.0}),
        (b"G1 (over) X5", "G1", {"X": 5.0}),
        (b"G28 X Y", "G28", {"X": None, "Y": None}),
        (b"M110 N5", "M110", {"N": 5.0}),
        (b"M104 S200", "M104", {"S": 200.0}),
        (b"G29.1 X4", "G29.1", {}),
        (b"M117 hello", "M117", {"H": None, "E": None, "L": None, "O": None}),
        (b"HELLO you", "HELLO", {}),
    ],
)
def test_words_are_read_with_or_without_spaces_and_case(line, code, words):
    block = read_block(line, expected=1)
    assert isinstance(block, Block)
    assert (block.code, block.words) == (code, words)


def test_a_line_that_is_too_long_is_bad():
    assert read_block(b"G1 X" + b"0" * LONGEST, expected=1) == Bad("line too long")


@given(st.binary(max_size=300))
def test_any_bytes_are_a_block_bad_or_nothing(line):
    assert isinstance(read_block(line, expected=1), Block | Bad | None)
