"""Lengths as people type them: figures with units, and a signed change of height. Pure."""

from __future__ import annotations

import re

from wizard.readings.errors import refused, tidy, with_points

# One inch is 25.4 mm exactly (international inch, 1959); a thou is a thousandth of it.
UNIT_MM: dict[str, float] = {
    "mm": 1.0,
    "thou": 0.0254,
    "inch": 25.4,
    "in": 25.4,
    "um": 0.001,
    "µm": 0.001,
    "μm": 0.001,
    "hundredths": 0.01,
}
NUMBER = r"(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
UNIT = "(?:" + "|".join(UNIT_MM) + ")"
LARGEST_CHANGE_MM = 5.0
_CHANGE = re.compile(rf"(?P<sign>[+-]|up|down)? ?(?P<number>{NUMBER}) ?(?P<unit>{UNIT})?")
_THICKNESS = re.compile(rf"(?P<number>{NUMBER}) ?(?P<unit>{UNIT})?")
_THICK_WANTED = "type the thickness of one sheet in mm, such as 0.05, or in another unit, such as 2 thou"
THINNEST_MM, THICKEST_MM = 0.005, 2.0
_WANTED = "type how far the nozzle was raised, in mm, such as 0.03, or -0.03 for lowered"


def in_mm(number: str, unit: str | None) -> float:
    """Return the length in mm, to a ten-thousandth; mm where no unit is given."""
    return round(float(number) * UNIT_MM[unit or "mm"], 4)


def parse_thickness(text: str) -> float:
    """Return the thickness of one sheet, mm. Raises ReadingError."""
    found = _THICKNESS.fullmatch(with_points(tidy(text, _THICK_WANTED)))
    if not found:
        raise refused(text, f"is no thickness: {_THICK_WANTED}")
    thick_mm = in_mm(found["number"], found["unit"])
    if not THINNEST_MM <= thick_mm <= THICKEST_MM:
        raise refused(text, f"is not from {THINNEST_MM:g} to {THICKEST_MM:g} mm, as sheets for shims are")
    return thick_mm


def parse_height(text: str) -> float:
    """Return how far the nozzle was raised (+) or lowered (-), mm. Raises ReadingError."""
    plain = with_points(tidy(text, _WANTED))
    found = _CHANGE.fullmatch(plain)
    if not found:
        raise refused(text, f"is no change of height: {_WANTED}")
    change_mm = in_mm(found["number"], found["unit"])
    if change_mm > LARGEST_CHANGE_MM:
        raise refused(text, f"is more than {LARGEST_CHANGE_MM:g} mm, which no first layer needs")
    return -change_mm if found["sign"] in ("-", "down") else change_mm
