"""Typed changes of the nozzle height."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wizard.readings import ReadingError, parse_height


@pytest.mark.parametrize(
    ("text", "change_mm"),
    [
        ("0.03", 0.03),
        ("+0,03", 0.03),
        ("-0.02 mm", -0.02),
        ("up 0.03", 0.03),
        ("down 30 um", -0.03),
        ("1 thou", 0.0254),
        ("0", 0.0),
    ],
)
def test_each_form_of_a_height_is_read(text: str, change_mm: float) -> None:
    """Plus is up, away from the plate. A thou is 0.0254 mm."""
    assert parse_height(text) == pytest.approx(change_mm)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "Nothing was typed"),
        ("a bit", "no change of height"),
        ("6", "more than 5 mm"),
        ("--1", "no change"),
    ],
)
def test_each_refusal_of_a_height_says_why(text: str, reason: str) -> None:
    """One sentence."""
    with pytest.raises(ReadingError, match=reason):
        parse_height(text)


def tried(text: str) -> float | str:
    """Return the change, or the refusal's sentence."""
    try:
        return parse_height(text)
    except ReadingError as refusal:
        return str(refusal)


@given(st.one_of(st.text(), st.text(st.sampled_from("0123456789.,+- mu"), max_size=8)))
def test_any_text_is_a_height_or_a_refusal(text: str) -> None:
    """Never another exception, never a change that no first layer needs."""
    change = tried(text)
    assert change.isprintable() if isinstance(change, str) else abs(change) <= 5.0


@given(st.integers(-500, 500))
def test_a_printed_height_reads_back(hundredths: int) -> None:
    """Signed figures with two decimals come back as they were."""
    assert parse_height(f"{hundredths / 100:+.2f}") == pytest.approx(hundredths / 100)
