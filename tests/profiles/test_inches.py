"""Threads per inch, unified threads and leaves in thousandths of an inch in a profile."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import pytest

from profiles.load import parse
from profiles.machine import Machine, Thread
from profiles.threads import UNIFIED, mm_per_turn, pitch_mm

FOUR = "four-corner-220"
LEAVES = (
    "leaves_mm = [0.05, 0.10, 0.15, 0.20, 0.25, 0.30, 0.35, 0.40, 0.45, 0.50, 0.60, 0.70, 0.80, 0.90, 1.00]"
)
IN_THOU = "leaves_thou = [2, 4, 6, 8, 10, 12, 15, 20, 25, 30, 35]"
Refuse = Callable[[str, str, str], str]


@pytest.mark.parametrize(("per_inch", "mm"), [(40.0, 0.635), (20.0, 1.27), (25.4, 1.0)])
def test_threads_per_inch_are_mm_per_turn(per_inch: float, mm: float) -> None:
    """One inch is 25.4 mm exactly."""
    assert mm_per_turn(Thread(threads_per_inch=per_inch)) == pytest.approx(mm, rel=1e-12)


@pytest.mark.parametrize(
    ("designation", "mm"),
    [("6-32 UNC", 0.79375), ("#10-32", 0.79375), ("1/4-20", 1.27), ("4-40", 0.635), ("1/4-28 UNF", 0.907143)],
)
def test_a_unified_thread_has_the_pitch_that_its_name_says(designation: str, mm: float) -> None:
    """ASME B1.1, from memory: the number after the dash is threads per inch."""
    assert pitch_mm(designation) == pytest.approx(mm, abs=1e-6)


def test_every_unified_thread_of_the_table_is_taken_with_and_without_its_series() -> None:
    for series, sizes in UNIFIED.items():
        for size in sizes:
            assert (
                pitch_mm(size)
                == pitch_mm(f"{size} {series}")
                == pytest.approx(25.4 / float(size.split("-")[1]))
            )


@pytest.mark.parametrize("designation", ["6-33", "6-32 UNF", "1/4-20 UNS", "M3-40", "6-32 unc"])
def test_a_thread_that_is_none_of_them_is_refused(designation: str) -> None:
    with pytest.raises(ValueError, match="unknown thread"):
        pitch_mm(designation)


def test_leaves_in_thousandths_are_leaves_in_mm(text: str) -> None:
    """6 thou are 0.1524 mm."""
    gauge = parse(text.replace(LEAVES, IN_THOU).replace("card_mm = 0.10", "card_thou = 4"), "x").gauge
    assert gauge.leaves_mm[:3] == (0.0508, 0.1016, 0.1524)
    assert gauge.card_mm == 0.1016


def test_a_machine_told_in_thousandths_is_the_same_once_it_was_written_and_read(text: str) -> None:
    machine = parse(text.replace(LEAVES, IN_THOU), "x")
    assert msgspec.json.decode(msgspec.json.encode(machine), type=Machine) == machine


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        (
            'thread = "M3"',
            'thread = "M3"\nthreads_per_inch = 40',
            "threads_per_inch is 40, but must be left out",
        ),
        (
            'thread = "M3"',
            "threads_per_inch = 0.5",
            "threads_per_inch is 0.5, but must be 4 to 200 threads per inch",
        ),
        ('thread = "M3"', 'thread = "6-33"', "or 6-32 UNC"),
        ("card_mm = 0.10", "card_mm = 0.10\ncard_thou = 8", "gauge.card_thou is 8, but must be left out"),
        (LEAVES, f"{LEAVES}\n{IN_THOU}", "gauge.leaves_thou is"),
        (LEAVES, "leaves_thou = [0.002, 0.004]", "must be 0.4 to 200 thousandths of an inch"),
    ],
)
def test_what_is_told_twice_or_in_the_wrong_unit_is_refused(
    refused: Refuse, old: str, new: str, sentence: str
) -> None:
    assert sentence in refused(FOUR, old, new)
