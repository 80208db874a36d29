"""Figures as words: millimetres, degrees Celsius, fractions, lists. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from wizard.rounds import Reading

_COUNT = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_PARTS = {2: "half", 3: "third", 4: "quarter", 6: "sixth", 8: "eighth", 12: "twelfth", 16: "sixteenth"}
_DENOMINATORS = (1, 2, 3, 4, 6, 8, 12, 16)
FINEST = 64


def mm(value_mm: float) -> str:
    """Return mm with two decimals, three where the third is not 0; never "-0.00"."""
    text = f"{round(value_mm, 3) + 0.0:.3f}"
    return text[:-1] if text.endswith("0") else text


def signed_mm(value_mm: float) -> str:
    """Return mm with its sign and two decimals; nothing is "0.00"."""
    return f"{value_mm:+.2f}" if round(value_mm, 2) else "0.00"


def bracket(reading: Reading) -> str:
    """Return what is known of a gap, in words."""
    low, high = reading.low_mm, reading.high_mm
    if low is None:
        return "not known" if high is None else f"less than {mm(high)} mm"
    if high is None:
        return f"more than {mm(low)} mm"
    return f"{mm(low)} mm" if low == high else f"{mm(low)} to {mm(high)} mm"


def counted(number: int, one: str, many: str = "") -> str:
    """Return "one turn", "3 turns": a number with its noun, small numbers as words."""
    word = _COUNT[number] if 0 <= number < len(_COUNT) else str(number)
    return f"{word} {one if number == 1 else many or one + 's'}"


def listed(names: Iterable[str]) -> str:
    """Return "a", "a and b", "a, b and c"."""
    *most, last = tuple(names) or ("none",)
    return f"{', '.join(most)} and {last}" if most else last


def near_fraction(value: float, step: float) -> tuple[Fraction, bool]:
    """Return the simplest fraction that `value` is, else the nearest of the finest in use, and whether exact.

    step: the smallest part the adjuster can be set to; its own fractions are used besides the common ones.
    """
    own = min(max(round(1.0 / step), 1), FINEST) if step > 0 else 1
    for parts in sorted({*_DENOMINATORS, 32, own}):
        count = round(value * parts)
        if abs(count / parts - value) < 1e-6:
            return Fraction(count, parts), True
    parts = max(own, _DENOMINATORS[-1])
    return Fraction(max(round(value * parts), 1), parts), False


def fraction_figure(value: Fraction) -> str:
    """Return "1/4", "2", "1 and 3/8"."""
    whole, rest = divmod(value, 1)
    if not rest:
        return str(whole)
    return f"{whole} and {rest}" if whole else str(rest)


def fraction_words(value: Fraction) -> str:
    """Return "a quarter turn", "three eighths of a turn", "one turn and a quarter"; figures where longer."""
    whole, rest = divmod(value, 1)
    if not rest:
        return counted(int(whole), "turn")
    part = _PARTS.get(rest.denominator)
    if part is None or rest.numerator >= len(_COUNT):
        return f"{fraction_figure(value)} turn{'s' if whole else ''}"
    if whole:
        return f"{counted(int(whole), 'turn')} and {_share(rest.numerator, part)}"
    if rest.numerator == 1 and part in ("half", "quarter"):
        return "half a turn" if part == "half" else "a quarter turn"
    return f"{_share(rest.numerator, part)} of a turn"


def _share(count: int, part: str) -> str:
    if count == 1:
        return f"an {part}" if part.startswith("e") else f"a {part}"
    return f"{_COUNT[count]} {part}s"
