"""ISO 261 general plan, ISO 262 selected sizes: coarse pitches, and what a part of a turn does.

Read in a published chart of the standard; flats by ISO 4032 (hex nut: six).
"""

from __future__ import annotations

import pytest

from profiles.threads import pitch_mm

# designation: mm per turn, a quarter turn, one hex flat, an eighth, degrees for 0.10 mm
TABLE = {
    "M2": (0.40, 0.1000, 0.0667, 0.0500, 90.0),
    "M2.5": (0.45, 0.1125, 0.0750, 0.0563, 80.0),
    "M3": (0.50, 0.1250, 0.0833, 0.0625, 72.0),
    "M4": (0.70, 0.1750, 0.1167, 0.0875, 51.4286),
    "M5": (0.80, 0.2000, 0.1333, 0.1000, 45.0),
    "M6": (1.00, 0.2500, 0.1667, 0.1250, 36.0),
    "M8": (1.25, 0.3125, 0.2083, 0.15625, 28.8),
}


@pytest.mark.parametrize("designation", TABLE)
def test_coarse_pitch_and_its_parts(designation: str):
    turn, quarter, flat, eighth, degrees = TABLE[designation]
    pitch = pitch_mm(designation)
    assert pitch == pytest.approx(turn)
    assert (pitch / 4, pitch / 6, pitch / 8) == pytest.approx((quarter, flat, eighth), abs=6e-5)
    assert 0.10 / pitch * 360.0 == pytest.approx(degrees, abs=1e-4)


@pytest.mark.parametrize(("designation", "pitch"), [("M3x0.35", 0.35), ("M4x0.5", 0.5), ("M6x0.75", 0.75)])
def test_fine_pitch(designation: str, pitch: float):
    assert pitch_mm(designation) == pytest.approx(pitch)
