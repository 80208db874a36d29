"""Short forms of a turn for places where a sentence has no room."""

from __future__ import annotations

from fractions import Fraction

_NEAR = 1e-6


def fraction_words(turns: float) -> str:
    """Return the size of a turn as a fraction in lowest terms: "1/4", "1 1/2", "2"; else a decimal."""
    size = abs(turns)
    exact = Fraction(size).limit_denominator(64)
    if abs(float(exact) - size) > _NEAR:
        return f"{size:.2f}"
    whole, rest = divmod(exact, 1)
    if rest == 0:
        return str(whole)
    return f"{whole} {rest}" if whole else str(rest)
