"""Turns as people type them: `1/4`, `-0.25`, `90 deg`, `1 flat`, `1 1/8 anticlockwise`. Pure.

Clockwise is plus, seen from the side that the profile names.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import NamedTuple

from wizard.readings.errors import ReadingError, refused, tidy, with_points
from wizard.readings.lengths import NUMBER

LARGEST_TURNS = 20.0
WANTED = "type turns such as 1/4, -0.25, 90 deg or 1 flat; clockwise is plus"
PER_TURN = {"turn": 1.0, "sheet": 1.0, "deg": 360.0, "degree": 360.0, "°": 360.0, "flat": 6.0}
WAYS = {
    "clockwise": 1.0,
    "cw": 1.0,
    "anticlockwise": -1.0,
    "counterclockwise": -1.0,
    "acw": -1.0,
    "ccw": -1.0,
}
_FRACTION = r"(?P<top>[0-9]+) ?/ ?(?P<bottom>[0-9]+)"
_AMOUNT = re.compile(
    rf"(?P<sign>[+-])? ?(?:(?:(?P<whole>[0-9]+) (?:and )?)?{_FRACTION}|(?P<number>{NUMBER}))"
    rf"(?: ?(?:of a )?(?P<unit>{'|'.join(PER_TURN)})s?)?(?: (?P<way>{'|'.join(WAYS)}))?"
)


class _Amount(NamedTuple):
    turns: float
    way_told: bool


def parse_turns(text: str) -> float:
    """Return turns, clockwise positive. Raises ReadingError."""
    return _amount(text, text).turns


def parse_turned(text: str, told: Mapping[str, float]) -> dict[str, float]:
    """Return what was turned, by adjuster: `front left 1/4; back right -1/8`, or `1/4` where there is one.

    told: the turns that were asked for. An amount without sign or way goes the way that was asked
    for; adjusters that are not named were turned as asked. Raises ReadingError.
    """
    tidy(text, WANTED)
    turned = dict(told)
    for part in filter(str.strip, text.split(";")):
        name, amount_text = _name_and_amount(part, tuple(told))
        amount = _amount(amount_text, part)
        back = not amount.way_told and told[name] < 0.0
        turned[name] = -amount.turns if back else amount.turns
    return turned


def _name_and_amount(part: str, names: tuple[str, ...]) -> tuple[str, str]:
    typed = part.strip()
    for name in sorted(names, key=len, reverse=True):
        if typed.casefold().startswith(name.casefold()):
            return name, typed[len(name) :].lstrip(" :=")
    if len(names) == 1:
        return names[0], typed
    raise ReadingError(f"Say which: NAME and turns, such as {min(names, default='front left')} 1/4.")


def _amount(text: str, shown_as: str) -> _Amount:
    plain = with_points(tidy(text, WANTED))
    found = _AMOUNT.fullmatch(plain)
    if not found:
        raise refused(shown_as, f"is no turn: {WANTED}")
    turns = _count(shown_as, found) / PER_TURN[found["unit"] or "turn"]
    if turns > LARGEST_TURNS:
        raise refused(shown_as, f"is more than {LARGEST_TURNS:g} turns: no adjuster has as many")
    sign, way = found["sign"], WAYS.get(found["way"] or "")
    if sign and way:
        raise refused(shown_as, "has a sign and a way: type one of them")
    return _Amount(turns * (way or (-1.0 if sign == "-" else 1.0)), bool(sign or way))


def _count(text: str, found: re.Match[str]) -> float:
    if found["number"]:
        return float(found["number"])
    if not int(found["bottom"]):
        raise refused(text, "divides by nothing: type turns such as 1/4")
    try:
        return int(found["whole"] or 0) + int(found["top"]) / int(found["bottom"])
    except OverflowError:
        raise refused(text, "is too large") from None
