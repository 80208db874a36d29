"""Temperatures of printing, and what they take from the gap."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from profiles.load import parse

FOUR = "four-corner-220"
COLD = "nozzle_c = 0\n"


@pytest.mark.parametrize(
    ("new", "sentence"),
    [
        ("print_nozzle_c = 900", "heat.print_nozzle_c is 900, but must be 0 to 260 degrees C"),
        ("print_bed_c = 900", "heat.print_bed_c is 900, but must be 0 to 110 degrees C"),
        ("hot_length_mm = 200", "heat.hot_length_mm is 200, but must be 0 to 100 mm"),
        (
            "hot_expansion_ppm_per_k = 0.05",
            "heat.hot_expansion_ppm_per_k is 0.05, but must be 0.1 to 60",
        ),
    ],
)
def test_a_slip_of_units_is_refused(refused: Callable[[str, str, str], str], new: str, sentence: str) -> None:
    assert sentence in refused(FOUR, "[heat]", f"[heat]\n{new}")


def test_a_gap_that_would_not_be_there_while_measuring_is_refused(
    refused: Callable[[str, str, str], str],
) -> None:
    """Measured hot, printed cold: 100 mm of brass by 240 K are 0.49 mm, more than any gap."""
    told = refused(FOUR, COLD, "nozzle_c = 260\nprint_nozzle_c = 0\nhot_length_mm = 100\n")
    assert "heat.print_nozzle_c is 0, but must be printing temperatures by which the gap does not" in told


def test_measured_cold_the_wanted_gap_is_wider_by_what_grows(text: str) -> None:
    """18 mm by 180 K and 20.5e-6 per K: 0.0664 mm; 3 mm of aluminium by 40 K: 0.0028 mm."""
    text = text.replace(COLD, "nozzle_c = 0\nprint_nozzle_c = 200\nhot_length_mm = 18\n")
    assert parse(text, "x").wanted_gap_mm == pytest.approx(0.15 + 0.0664, abs=5e-5)
    text = text.replace("bed_c = 60", "bed_c = 0\nprint_bed_c = 60", 1)
    assert parse(text, "x").closing_mm == pytest.approx(0.06642 + 0.00283, abs=5e-5)


def test_measured_as_hot_as_printed_nothing_closes(text: str) -> None:
    text = text.replace(COLD, "nozzle_c = 200\nprint_nozzle_c = 200\nhot_length_mm = 18\n")
    assert parse(text, "x").closing_mm == 0.0
