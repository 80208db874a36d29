"""Millimetres per turn by thread designation.

Coarse pitches: ISO 261 general plan (ISO 262 selected sizes). A designation without a pitch
means the coarse one. Unified threads: ASME B1.1, UNC and UNF series (from memory), written "6-32" or
"1/4-20 UNC"; the second number is threads per inch.
"""

from __future__ import annotations

import re

from profiles.machine import INCH_MM, Thread

COARSE_PITCH_MM: dict[str, float] = {
    "M2": 0.40,
    "M2.5": 0.45,
    "M3": 0.50,
    "M4": 0.70,
    "M5": 0.80,
    "M6": 1.00,
    "M8": 1.25,
}
UNIFIED = {
    "UNC": ("4-40", "5-40", "6-32", "8-32", "10-24", "12-24", "1/4-20", "5/16-18", "3/8-16"),
    "UNF": ("4-48", "5-44", "6-40", "8-36", "10-32", "12-28", "1/4-28", "5/16-24", "3/8-24"),
}
_UNIFIED = re.compile(r"(?:No\. ?|#)?(?P<size>\d+(?:/\d+)?-(?P<threads>\d+))(?: ?(?P<series>UNC|UNF))?")
_FINE = re.compile(r"(M\d+(?:\.\d+)?)x(\d+(?:\.\d+)?)")


def pitch_mm(designation: str) -> float:
    """Return the pitch for "M3", "M4x0.5" or "6-32 UNC". Raises ValueError with what is allowed."""
    if designation in COARSE_PITCH_MM:
        return COARSE_PITCH_MM[designation]
    fine = _FINE.fullmatch(designation)
    if fine and fine[1] in COARSE_PITCH_MM and 0.0 < float(fine[2]) <= COARSE_PITCH_MM[fine[1]]:
        return float(fine[2])
    unified = _UNIFIED.fullmatch(designation)
    if unified and any(unified["size"] in UNIFIED[s] for s in UNIFIED if unified["series"] in (s, None)):
        return INCH_MM / float(unified["threads"])
    raise ValueError(
        f"unknown thread {designation!r}; use one of {', '.join(COARSE_PITCH_MM)}, or M4x0.5, or 6-32 UNC"
    )


def mm_per_turn(thread: Thread) -> float:
    """Return the size of one turn in mm, without sign. Raises ValueError where nothing tells it."""
    if thread.mm_per_turn is not None:
        return thread.mm_per_turn
    if thread.thread is not None:
        return pitch_mm(thread.thread)
    if thread.threads_per_inch is not None:
        return INCH_MM / thread.threads_per_inch
    raise ValueError("neither thread nor mm_per_turn nor threads_per_inch is given")


def raise_per_clockwise_turn_mm(thread: Thread) -> float | None:
    """Return mm the plate (endstop screw: the nozzle) rises for one clockwise turn; None where unknown."""
    if thread.clockwise == "unknown":
        return None
    return mm_per_turn(thread) * (1.0 if thread.clockwise == "raises" else -1.0)
