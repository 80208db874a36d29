"""What a feel or a typed text says of a gap, a turn or a height: a value, or one sentence why not. Pure."""

from __future__ import annotations

from wizard.readings.errors import ReadingError
from wizard.readings.feel import DRAG_MM, narrow
from wizard.readings.filament import parse_filament, parse_pad
from wizard.readings.lengths import UNIT_MM, parse_height, parse_thickness
from wizard.readings.turned import PER_TURN, WAYS, parse_turned, parse_turns
from wizard.readings.typed import LARGEST_MM, SIDES, parse, written

TYPED_LETTERS = frozenset("".join((*UNIT_MM, *PER_TURN, *WAYS, *SIDES, "to up down of a and s")))
"""Every letter of the words that may be typed beside figures (and signs, which no key map uses)."""

__all__ = [
    "DRAG_MM",
    "LARGEST_MM",
    "TYPED_LETTERS",
    "ReadingError",
    "narrow",
    "parse",
    "parse_filament",
    "parse_height",
    "parse_pad",
    "parse_thickness",
    "parse_turned",
    "parse_turns",
    "written",
]
