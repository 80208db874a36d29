"""Temperatures and pads as people type them. Pure."""

from __future__ import annotations

import re

from wizard.readings.errors import refused, tidy, with_points
from wizard.readings.lengths import NUMBER, UNIT, in_mm

THINNEST_MM, THICKEST_MM = 0.01, 2.0
_BOTH = re.compile(rf"({NUMBER})(?: ?c)?[ ,;/]+({NUMBER})(?: ?c)?")
_BOTH_WANTED = "type plate and nozzle in degrees C, such as 60 205, a cold plate as 0"
_PAD = re.compile(rf"({NUMBER}) ?({UNIT})?")
_PAD_WANTED = "type the pad's thickness in mm, such as 0.16"


def parse_filament(text: str) -> tuple[float, float]:
    """Return plate and nozzle temperature, degrees Celsius. Raises ReadingError."""
    found = _BOTH.fullmatch(tidy(text, _BOTH_WANTED))
    if not found:
        raise refused(text, f"is no pair of temperatures: {_BOTH_WANTED}")
    return float(found[1]), float(found[2])


def parse_pad(text: str, *, hundredths: bool = False) -> float:
    """Return a pad's thickness, mm; whole numbers are hundredths where told. Raises ReadingError."""
    plain = with_points(tidy(text, _PAD_WANTED))
    found = _PAD.fullmatch(plain)
    if not found:
        raise refused(text, f"is no thickness: {_PAD_WANTED}")
    thick_mm = in_mm(found[1], found[2] or ("hundredths" if hundredths and found[1].isdecimal() else None))
    if not THINNEST_MM <= thick_mm <= THICKEST_MM:
        raise refused(text, f"is not from {THINNEST_MM:g} to {THICKEST_MM:g} mm, as first layers are")
    return thick_mm
