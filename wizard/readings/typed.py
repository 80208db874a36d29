"""Typed readings of one gap -> Reading, or why not; and a reading as it can be typed again. Pure.

Taken: `0.15`, `.15`, `0,15` (this leaf slides, the next will not); `0.15-0.20`, `0.15 0.20`,
`0.15..0.20` (both sides); `>0.5`, `<0.05` (one side); `=0.17` (the gap itself, got in another way);
each with a unit if wanted: `6 thou`, `150 um`, `15-20 hundredths`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from wizard.readings.errors import refused, tidy, with_points
from wizard.readings.lengths import NUMBER, UNIT, in_mm
from wizard.rounds import Reading

LARGEST_MM = 5.0
SAME_LEAF_MM = 0.004
"""Leaves marked in thou and in mm differ by up to this (4 thou is 0.1016 mm): still the same leaf."""

WANTED = "type the thickest leaf that slides, such as 0.15, or both sides, such as 0.15-0.20"
SIDES = {"<": "<", "under": "<", "less than": "<", ">": ">", "over": ">", "more than": ">", "=": "="}
_ONE = re.compile(rf"(?P<side>{'|'.join(SIDES)})? ?(?P<low>{NUMBER}) ?(?P<unit>{UNIT})?")
_TWO = re.compile(
    rf"(?P<low>{NUMBER}) ?(?P<first>{UNIT})?(?: ?(?:-|\.\.|;|to) ?| )(?P<high>{NUMBER}) ?(?P<unit>{UNIT})?"
)
_NEGATIVE = re.compile(r"(?:^|[-<>=;]|\.\.|to ) ?- ?[0-9.]")
_NO_NUMBER = re.compile(r"[+-]?(?:nan|inf|infinity|∞)")


def parse(text: str, *, leaves: Sequence[float] = (), hundredths: bool = False) -> Reading:
    """Return the reading that `text` tells of the gap as the nozzle stands, mm.

    leaves: the gauge's leaves in mm, for a leaf typed alone. hundredths: whole numbers without a
    unit are hundredths of a mm. Raises ReadingError with one sentence, and nothing else.
    """
    plain = with_points(tidy(text, WANTED))
    _refuse_signs(text, plain)
    two = _TWO.fullmatch(plain)
    if two:
        return _bracket(text, two, leaves, hundredths)
    one = _ONE.fullmatch(plain)
    if one:
        return _single(text, one, leaves, hundredths)
    raise refused(text, f"is no reading: {WANTED}")


def written(reading: Reading) -> str:
    """Return the reading in the form in which it can be typed; brackets with a negative side use "to"."""
    low, high = reading.low_mm, reading.high_mm
    if low is None or high is None:
        return "nothing known" if low is high else f">{_mm(low)}" if high is None else f"<{_mm(high)}"
    if low == high:
        return f"={_mm(low)}"
    return f"{_mm(low)}{' to ' if low < 0.0 else '-'}{_mm(high)}"


def _mm(value_mm: float | None) -> str:
    """Return mm with two decimals, or as many as are there, up to four."""
    whole, _, decimals = f"{value_mm or 0.0:.4f}".partition(".")
    return f"{whole}.{decimals.rstrip('0'):0<2}"


def _refuse_signs(text: str, plain: str) -> None:
    if _NO_NUMBER.fullmatch(plain):
        raise refused(text, f"is not a finite figure: {WANTED}")
    if _NEGATIVE.search(plain):
        raise refused(text, "is negative, but a leaf is never thinner than nothing: for a touch type <0.05")


def _bracket(text: str, two: re.Match[str], leaves: Sequence[float], hundredths: bool) -> Reading:
    first, unit = two["first"], two["unit"]
    if first and unit and first != unit:
        raise refused(text, "has two different units: type both sides in one")
    low, high = _lengths(text, (two["low"], two["high"]), unit or first, leaves, hundredths)
    if low > high:
        raise refused(text, f"has its sides the wrong way round: type the smaller first, {two['high']} first")
    return Reading(low, high, "leaf")


def _single(text: str, one: re.Match[str], leaves: Sequence[float], hundredths: bool) -> Reading:
    (value,) = _lengths(text, (one["low"],), one["unit"], leaves, hundredths)
    side = SIDES.get(one["side"] or "")
    if side == "<":
        return Reading(None, value, "leaf")
    if side == ">":
        return Reading(value, None, "leaf")
    if side == "=":
        return Reading(value, value, "given")
    return _leaf_alone(text, value, leaves)


def _leaf_alone(text: str, leaf_mm: float, leaves: Sequence[float]) -> Reading:
    """Return [leaf, next leaf of the gauge]; open above the thickest."""
    if not leaves:
        raise refused(text, "needs its other side, as no leaves are known: type both, such as 0.15-0.20")
    thicker = [leaf for leaf in leaves if leaf > leaf_mm + SAME_LEAF_MM]
    return Reading(leaf_mm, min(thicker, default=None), "leaf")


def _lengths(
    text: str, numbers: tuple[str, ...], unit: str | None, leaves: Sequence[float], hundredths: bool
) -> tuple[float, ...]:
    if unit is None and not any("." in number for number in numbers):
        unit = _unit_of_whole(text, numbers, leaves, hundredths)
    lengths = tuple(in_mm(number, unit) for number in numbers)
    if max(lengths) > LARGEST_MM:
        raise refused(text, f"is more than {LARGEST_MM:g} mm: no leaf is as thick")
    return lengths


def _unit_of_whole(
    text: str, numbers: tuple[str, ...], leaves: Sequence[float], hundredths: bool
) -> str | None:
    """Whole numbers without a unit: hundredths where asked for, or where they can be nothing else."""
    values = [float(number) for number in numbers]
    if hundredths or not any(values):
        return "hundredths"
    are_leaves = all(any(abs(value / 100 - leaf) < 1e-6 for leaf in leaves) for value in values)
    if max(values) > LARGEST_MM and are_leaves:
        return "hundredths"
    if max(values) / 100 > LARGEST_MM:
        raise refused(text, f"is more than {LARGEST_MM:g} mm: no leaf is as thick")
    as_mm = "-".join(f"{value / 100:.2f}" for value in values)
    raise refused(text, f"could be millimetres or hundredths: type {as_mm}, or add the unit")
