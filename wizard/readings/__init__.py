"""What a feel or a typed text says of a gap, a turn or a height: a value, or one sentence why not. Pure.

A name is loaded when it is first asked for: a screen is painted before anything is typed.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from wizard.readings.errors import ReadingError
    from wizard.readings.feel import DRAG_MM, narrow
    from wizard.readings.filament import parse_filament, parse_pad
    from wizard.readings.lengths import parse_height, parse_thickness
    from wizard.readings.letters import TYPED_LETTERS
    from wizard.readings.turned import parse_turned, parse_turns
    from wizard.readings.typed import LARGEST_MM, parse, written

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

_HOME = {
    "DRAG_MM": "feel",
    "LARGEST_MM": "typed",
    "TYPED_LETTERS": "letters",
    "ReadingError": "errors",
    "narrow": "feel",
    "parse": "typed",
    "parse_filament": "filament",
    "parse_height": "lengths",
    "parse_pad": "filament",
    "parse_thickness": "lengths",
    "parse_turned": "turned",
    "parse_turns": "turned",
    "written": "typed",
}


def __getattr__(name: str) -> Any:
    """Return a name of this package from the module it is in (PEP 562). Raises AttributeError."""
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOME[name]}"), name)
