"""What a feel or a typed text says of a gap, a turn or a height: a value, or one sentence why not. Pure."""

from __future__ import annotations

from wizard.readings.errors import ReadingError
from wizard.readings.feel import DRAG_MM, narrow
from wizard.readings.lengths import parse_height, parse_thickness
from wizard.readings.turned import parse_turned, parse_turns
from wizard.readings.typed import LARGEST_MM, parse, written

__all__ = [
    "DRAG_MM",
    "LARGEST_MM",
    "ReadingError",
    "narrow",
    "parse",
    "parse_height",
    "parse_thickness",
    "parse_turned",
    "parse_turns",
    "written",
]
