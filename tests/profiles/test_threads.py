"""Coarse pitches: ISO 261 (ISO 262 selected sizes), from published tables of the standard."""

from __future__ import annotations

import pytest

from profiles.machine import Thread
from profiles.threads import mm_per_turn, pitch_mm, raise_per_clockwise_turn_mm


@pytest.mark.parametrize(
    ("designation", "mm"),
    [
        ("M2", 0.40),
        ("M2.5", 0.45),
        ("M3", 0.50),
        ("M4", 0.70),
        ("M5", 0.80),
        ("M6", 1.00),
        ("M8", 1.25),
        ("M3x0.35", 0.35),
        ("M4x0.5", 0.50),
        ("M6x0.75", 0.75),
    ],
)
def test_a_designation_without_a_pitch_means_the_coarse_one(designation: str, mm: float) -> None:
    assert pitch_mm(designation) == mm


@pytest.mark.parametrize("designation", ["", "m3", "M3 ", "M7", "M3x", "M3x0", "M3x0.6", "M3x-1", "M4X0.5"])
def test_what_is_no_designation_is_refused_with_what_is_allowed(designation: str) -> None:
    with pytest.raises(ValueError, match=r"use one of M2, M2\.5, M3"):
        pitch_mm(designation)


def test_the_sign_says_what_clockwise_does() -> None:
    assert raise_per_clockwise_turn_mm(Thread(thread="M3", clockwise="raises")) == 0.5
    assert raise_per_clockwise_turn_mm(Thread(thread="M4", clockwise="lowers")) == -0.7
    assert raise_per_clockwise_turn_mm(Thread(thread="M4")) is None


def test_what_is_stated_comes_before_the_thread_and_nothing_is_guessed() -> None:
    assert mm_per_turn(Thread(mm_per_turn=0.3)) == 0.3
    with pytest.raises(ValueError, match="neither thread nor mm_per_turn"):
        mm_per_turn(Thread())
