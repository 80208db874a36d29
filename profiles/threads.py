"""Millimetres per turn by thread designation.

Coarse pitches: ISO 261 general plan (ISO 262 selected sizes). A designation without a pitch
means the coarse one.
"""

from __future__ import annotations

import re

from profiles.machine import Thread

COARSE_PITCH_MM: dict[str, float] = {
    "M2": 0.40,
    "M2.5": 0.45,
    "M3": 0.50,
    "M4": 0.70,
    "M5": 0.80,
    "M6": 1.00,
    "M8": 1.25,
}
_FINE = re.compile(r"(M\d+(?:\.\d+)?)x(\d+(?:\.\d+)?)")


def pitch_mm(designation: str) -> float:
    """Return the pitch for "M3" or "M4x0.5". Raises ValueError with what is allowed."""
    if designation in COARSE_PITCH_MM:
        return COARSE_PITCH_MM[designation]
    fine = _FINE.fullmatch(designation)
    if fine and fine[1] in COARSE_PITCH_MM and 0.0 < float(fine[2]) <= COARSE_PITCH_MM[fine[1]]:
        return float(fine[2])
    raise ValueError(f"unknown thread {designation!r}; use one of {', '.join(COARSE_PITCH_MM)}, or M4x0.5")


def mm_per_turn(thread: Thread) -> float:
    """Return the size of one turn in mm, without sign. Raises ValueError where nothing tells it."""
    if thread.mm_per_turn is not None:
        return thread.mm_per_turn
    if thread.thread is not None:
        return pitch_mm(thread.thread)
    raise ValueError("neither thread nor mm_per_turn is given")


def raise_per_clockwise_turn_mm(thread: Thread) -> float | None:
    """Return mm the plate (endstop screw: the nozzle) rises for one clockwise turn; None where unknown."""
    if thread.clockwise == "unknown":
        return None
    return mm_per_turn(thread) * (1.0 if thread.clockwise == "raises" else -1.0)
