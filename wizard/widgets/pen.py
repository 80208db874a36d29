"""Writes cells at their places, and from one style to the next only the codes that differ.

The codes are ECMA-48's (8.3.117, SGR): 22 to 29 end one rendition each, 39 and 49 a colour. A terminal
without colours, which may be older than those, gets the whole style anew.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import NamedTuple

Cell = tuple[str, str, str]
"""A character, the codes of its style, and those of its ground alone. For a blank both are the same."""

_ENDS = {"1": "22", "2": "22", "3": "23", "4": "24", "7": "27", "9": "29"}
"""What ends each rendition. Bold and faint end together."""
_MARKS_BLANKS = frozenset(("4", "7", "9", "21", "53"))
"""What shows on a blank: lines under, through and over it, and colours exchanged."""
_COLOURS = {"5": 3, "2": 5}
"""How many numbers a colour takes, by its second one: of a table, or red, green and blue."""


class Rendition(NamedTuple):
    """The codes in force: those of one number each, the colour, the ground ("" the terminal's own)."""

    plain: frozenset[str] = frozenset()
    colour: str = ""
    ground: str = ""


NONE = Rendition()


class Pen:
    """Collects what is to be written, and knows which codes are in force."""

    def __init__(self) -> None:
        self._texts: list[str] = []
        self._now = NONE
        self._at = (-1, -1)

    def write(self, column: int, row: int, cells: Sequence[Cell]) -> None:
        """Write cells at a place; a blank takes any codes that have its ground and show nothing on it."""
        self._go(column, row)
        for character, codes, ground in cells:
            wanted = rendition(codes)
            if character == " " and codes == ground and not wanted.plain:
                wanted = Rendition(self._now.plain - _MARKS_BLANKS, self._now.colour, wanted.ground)
            self._take(wanted)
            self._texts.append(character)
        self._at = (self._at[0] + len(cells), row)

    def write_as_it_is(self, column: int, row: int, text: str) -> None:
        """Write a text that brings its own codes."""
        self._take(NONE)
        self._texts.append(place(column, row) + text)
        self._at = (-1, -1)  # how wide it was is left to the terminal

    def written(self) -> str:
        """Return all of it; no codes are in force after it."""
        self._take(NONE)
        return "".join(self._texts)

    def _go(self, column: int, row: int) -> None:
        """Move rightwards in a row by the shorter way (ECMA-48 8.3.20, CUF)."""
        ahead = column - self._at[0]
        along = row == self._at[1] and ahead > 0
        self._texts.append(f"\x1b[{ahead}C" if along else place(column, row))
        self._at = (column, row)

    def _take(self, wanted: Rendition) -> None:
        self._texts.append(change(self._now, wanted))
        self._now = wanted


def place(column: int, row: int) -> str:
    """Return what moves the cursor there; the first column needs no number (ECMA-48 8.3.21, CUP)."""
    return f"\x1b[{row + 1};{column + 1}H" if column else f"\x1b[{row + 1}H"


@lru_cache(maxsize=256)
def rendition(codes: str) -> Rendition:
    """Return what a sequence such as "\\x1b[1;38;5;230m" puts in force; "" puts nothing."""
    plain, colours = set(), {"3": "", "4": ""}
    numbers = codes[2:-1].split(";") if codes else []
    while numbers:
        first = numbers[0]
        length = _COLOURS[numbers[1]] if first in ("38", "48") else 1
        each, numbers = ";".join(numbers[:length]), numbers[length:]
        kind = {"9": "3", "10": "4"}.get(first[:-1], first[:-1])
        if kind in colours:
            colours[kind] = each
        else:
            plain.add(each)
    return Rendition(frozenset(plain), colours["3"], colours["4"])


@lru_cache(maxsize=1024)
def change(now: Rendition, wanted: Rendition) -> str:
    """Return the shortest codes from one to the other; "" from a style to itself."""
    if now == wanted:
        return ""
    anew = [*sorted(wanted.plain), wanted.colour, wanted.ground]
    whole = _sequence(anew if now == NONE else ["0", *anew])
    gone = now.plain - wanted.plain
    without_colours = not any((now.colour, now.ground, wanted.colour, wanted.ground))
    if without_colours or not gone <= _ENDS.keys():
        return whole
    ends = {_ENDS[each] for each in gone}
    begun = {each for each in wanted.plain if each not in now.plain or _ENDS.get(each) in ends}
    parts = [*sorted(ends), *sorted(begun)]
    parts += [wanted.colour or "39"] if wanted.colour != now.colour else []
    parts += [wanted.ground or "49"] if wanted.ground != now.ground else []
    return min(_sequence(parts), whole, key=len)


def _sequence(numbers: Iterable[str]) -> str:
    return f"\x1b[{';'.join(filter(None, numbers))}m"
