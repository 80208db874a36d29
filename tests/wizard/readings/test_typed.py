"""Typed readings: every form people use, and every refusal in one sentence."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wizard.readings import LARGEST_MM, ReadingError, parse, written
from wizard.rounds import Reading

LEAVES = (0.05, 0.10, 0.15, 0.20, 0.25, 0.30, 0.40, 0.50)
PARTS = [*"0123456789.,-–<>=; /", "mm", "thou", "to", "..", "over ", " "]
TYPED = st.lists(st.sampled_from(PARTS), max_size=12).map("".join)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        (".15", 0.15, 0.20),
        ("0.15", 0.15, 0.20),
        ("0,15", 0.15, 0.20),
        (" 0.15 mm ", 0.15, 0.20),
        ("0.50", 0.50, None),
        ("0", 0.0, 0.05),
        ("0.17", 0.17, 0.20),
        ("0.15-0.20", 0.15, 0.20),
        ("0.15–0.20", 0.15, 0.20),
        ("0,15-0,20", 0.15, 0.20),
        ("0.15 0.20", 0.15, 0.20),
        ("0,15, 0,20", 0.15, 0.20),
        ("0.15, 0.20", 0.15, 0.20),
        ("0.15,0.20", 0.15, 0.20),
        ("0.15..0.20", 0.15, 0.20),
        (".15...20", 0.15, 0.20),
        ("0.15 to 0.20", 0.15, 0.20),
        ("0.15; 0.20", 0.15, 0.20),
        ("0-0.05", 0.0, 0.05),
        ("0.17-0.23", 0.17, 0.23),
        ("0.15-0.15", 0.15, 0.15),
        (">0.5", 0.5, None),
        ("> 0,5", 0.5, None),
        ("over 0.5", 0.5, None),
        ("more than 0.5", 0.5, None),
        ("<0.05", None, 0.05),
        ("under .05", None, 0.05),
        ("15-20", 0.15, 0.20),
        ("15", 0.15, 0.20),
        ("5-10", 0.05, 0.10),
        ("15-20 hundredths", 0.15, 0.20),
        ("150-200 um", 0.15, 0.20),
        ("150 µm", 0.15, 0.20),
    ],
)
def test_each_form_is_read(text: str, low: float | None, high: float | None) -> None:
    """A leaf alone means that the next one will not enter; brackets are taken exactly as typed."""
    assert parse(text, leaves=LEAVES) == Reading(low, high, "leaf")


def test_thousandths_of_an_inch_are_read() -> None:
    """6 thou is 0.1524 mm (an inch is 25.4 mm exactly); the next leaf of the gauge will not enter."""
    assert parse("6 thou", leaves=LEAVES) == Reading(0.1524, 0.20, "leaf")
    assert parse("6-8 thou") == Reading(0.1524, 0.2032, "leaf")
    assert parse("0.006 in", leaves=LEAVES) == Reading(0.1524, 0.20, "leaf")


def test_a_leaf_marked_in_both_units_is_one_leaf() -> None:
    """4 thou is 0.1016 mm and marked 0.10 on the same leaf: neither is the next after the other."""
    assert parse("3.9 thou", leaves=LEAVES).high_mm == 0.15
    assert parse("4 thou", leaves=LEAVES).high_mm == 0.15


def test_a_gap_got_in_another_way_is_taken_as_given() -> None:
    """An equals sign says that the gap itself is known."""
    assert parse("=0.17") == Reading(0.17, 0.17, "given")


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "Nothing was typed"),
        ("   ", "Nothing was typed"),
        ("tight", "is no reading"),
        ("1e-1", "is no reading"),
        ("0.15 0.20 0.25", "is no reading"),
        ("0,15-0.20", "is no reading"),
        ("٠.١٥", "is no reading"),
        ("-0.05", "is negative"),
        ("0.10 - -0.05", "is negative"),
        ("<-1", "is negative"),
        ("nan", "not a finite figure"),
        ("-inf", "not a finite figure"),
        ("∞", "not a finite figure"),
        ("0.20-0.15", "the smaller first"),
        ("20-15", "the smaller first"),
        ("5.1", "more than 5 mm"),
        ("0.15-6.5", "more than 5 mm"),
        ("600", "more than 5 mm"),
        ("2 inch", "more than 5 mm"),
        ("9" * 60, "more than 5 mm"),
        ("9" * 400, "longer than"),
        ("6 thou - 0.2 mm", "two different units"),
    ],
)
def test_each_refusal_says_why(text: str, reason: str) -> None:
    """One sentence names what was typed, what is wrong with it, and mostly what to type."""
    with pytest.raises(ReadingError, match=reason) as refusal:
        parse(text, leaves=LEAVES)
    assert str(refusal.value).endswith(".")
    assert "\n" not in str(refusal.value)


@pytest.mark.parametrize("text", ["2-4", "1", "3-20", "12-13"])
def test_whole_numbers_that_could_be_either_are_refused(text: str) -> None:
    """Whole numbers are hundredths only where they can be nothing else: too large for mm, and leaves."""
    with pytest.raises(ReadingError, match=r"could be millimetres or hundredths: type 0\.[01]"):
        parse(text, leaves=LEAVES)


def test_leaves_do_not_make_small_whole_numbers_hundredths() -> None:
    """2-4 could be millimetres even where 0.02 and 0.04 are leaves."""
    with pytest.raises(ReadingError, match="could be millimetres or hundredths"):
        parse("2-4", leaves=(0.02, 0.04))


def test_whole_numbers_are_hundredths_when_asked_for() -> None:
    """Asked for, they need not be leaves; figures with a decimal point stay millimetres."""
    assert parse("2-4", hundredths=True) == Reading(0.02, 0.04, "leaf")
    assert parse("12-13", leaves=LEAVES, hundredths=True) == Reading(0.12, 0.13, "leaf")
    assert parse("0.15-0.20", hundredths=True) == Reading(0.15, 0.20, "leaf")
    assert parse("2 mm - 4 mm", hundredths=True) == Reading(2.0, 4.0, "leaf")


def test_a_leaf_alone_needs_a_gauge() -> None:
    """Without leaves the other side is not known, and is asked for."""
    with pytest.raises(ReadingError, match="needs its other side"):
        parse("0.15")


def tried(text: str, hundredths: bool) -> Reading | str:
    """Return the reading, or the refusal's sentence."""
    try:
        return parse(text, leaves=LEAVES, hundredths=hundredths)
    except ReadingError as refusal:
        return str(refusal)


@given(st.one_of(st.text(), TYPED), st.booleans())
def test_any_text_is_a_reading_or_a_refusal(text: str, hundredths: bool) -> None:
    """Never another exception, never a reading that no gauge can give."""
    reading = tried(text, hundredths)
    if isinstance(reading, str):
        assert reading.isprintable()
        assert reading.endswith(".")
        return
    sides = [side for side in (reading.low_mm, reading.high_mm) if side is not None]
    assert sides
    assert sides == sorted(sides)
    assert all(0.0 <= side <= LARGEST_MM for side in sides)


TENTHS = st.integers(0, 50000).map(lambda n: n / 10000)


@given(st.tuples(TENTHS, TENTHS).map(sorted))
def test_what_is_written_can_be_typed(sides: list[float]) -> None:
    """A bracket, and either side of it alone, read back as they were."""
    low, high = sides
    for reading in (Reading(low, high, "leaf"), Reading(None, high, "leaf"), Reading(low, None, "leaf")):
        if low < high or None in (reading.low_mm, reading.high_mm):
            assert parse(written(reading)) == reading
    assert parse(written(Reading(low, low))) == Reading(low, low, "given")


@given(st.integers(0, len(LEAVES) - 1), st.sampled_from(["{:.2f}", "{:g}", "{:.2f} mm", "{:.3f}"]))
def test_each_leaf_of_the_gauge_is_a_bracket(index: int, form: str) -> None:
    """Every leaf typed alone ends at the next one; decimal comma and point are the same."""
    text = form.format(LEAVES[index])
    thicker = LEAVES[index + 1] if index + 1 < len(LEAVES) else None
    assert parse(text, leaves=LEAVES) == Reading(LEAVES[index], thicker, "leaf")
    assert parse(text.replace(".", ","), leaves=LEAVES) == Reading(LEAVES[index], thicker, "leaf")


def test_what_is_not_known_is_written_so() -> None:
    """Open and negative readings can be shown, though not typed."""
    assert written(Reading()) == "nothing known"
    assert written(Reading(-0.05, 0.1)) == "-0.05 to 0.10"
