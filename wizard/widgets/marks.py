"""The characters that screens draw with: one full set, and one of plain ASCII.

A mark tells by its shape what it is; colour only repeats it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

import msgspec
from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter

# Terminals whose built-in fonts have letters and line-drawing only.
_POOR_FONTS = ("linux", "vt100", "vt102", "vt220", "ansi")


class Marks(msgspec.Struct, frozen=True):
    """One character (or short text) for each thing that is drawn."""

    plain: bool = False
    unread: str = "○"
    read: str = "●"
    nozzle: str = "◆"
    here_left: str = "▶"
    here_right: str = "◀"
    ring_left: str = "("
    ring_right: str = ")"
    clockwise: str = "↻"
    counter: str = "↺"
    wide: str = "▲"
    narrow: str = "▼"
    within: str = "="
    ticked: str = "✓"
    plus_minus: str = "±"
    dash: str = "–"
    corners: str = "╭╮╰╯"
    across: str = "─"
    upright: str = "│"
    dot: str = "·"
    full: str = "█"
    upper: str = "▀"
    lower: str = "▄"
    done: str = "■"
    to_do: str = "□"
    to_do_bar: str = "░"
    edge: str = "▌"


FULL = Marks()
PLAIN = Marks(
    plain=True,
    unread="o",
    read="@",
    nozzle="V",
    here_left=">",
    here_right="<",
    clockwise="cw",
    counter="ccw",
    wide="^",
    narrow="v",
    ticked="x",
    plus_minus="+-",
    dash="-",
    corners="++++",
    across="-",
    upright="|",
    dot=".",
    full="#",
    upper="#",
    lower="#",
    done="#",
    to_do=".",
    to_do_bar=".",
    edge="|",
)


def marks_for(environ: Mapping[str, str], encoding: str | None) -> Marks:
    """Return the set that this terminal can show: the full one needs UTF-8 and a font that has it."""
    if environ.get("TRAMWRIGHT_PLAIN_MARKS"):
        return PLAIN
    poor = environ.get("TERM", "").split("-")[0] in _POOR_FONTS
    utf8 = (encoding or "").lower().replace("-", "").replace("_", "") == "utf8"
    return FULL if utf8 and not poor else PLAIN


# What may still stand in a text once the plain set is used, one character for one.
_PLAIN_FOR = str.maketrans(
    "°±–—−×·•…“”‘’µ½¼¾⅛⅜⅝⅞░╭╮╰╯┌┐└┘─│━┃█▀▄▌▐■□●○◆▶◀▲▼↻↺✓→←↑↓",
    "o~---x.*.\"\"''uhqteeee.++++++++-|-|####|#.@oV><^v)(x><^v",
)


def to_plain(text: str) -> str:
    """Return `text` in ASCII, of the same length; what has no stand-in becomes a question mark."""
    return text.translate(_PLAIN_FOR).encode("ascii", "replace").decode("ascii")


# Codes that a terminal would obey instead of show (C0, DEL, C1), and those that turn text around.
_OBEYED = re.compile("[\x00-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069]")


def harmless(text: str) -> str:
    """Return `text` with every code that a terminal would obey as one visible question mark."""
    return _OBEYED.sub("?", text)


class HarmlessText(LineFilter):
    """Whatever a machine sent, nothing in it is obeyed by the terminal."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """Return the segments with every text harmless."""
        return [
            segment
            if segment.control or segment.text.isprintable()
            else segment._replace(text=harmless(segment.text))
            for segment in segments
        ]


class PlainCharacters(LineFilter):
    """The last step before the terminal: no character leaves that it could not show."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """Return the segments with every text in ASCII."""
        return [
            segment
            if segment.control or segment.text.isascii()
            else segment._replace(text=to_plain(segment.text))
            for segment in segments
        ]


class Together(LineFilter):
    """Filters as one, which the drawing library asks for what it made of a line once instead of often."""

    def __init__(self, filters: Sequence[LineFilter]) -> None:
        super().__init__()
        self._filters = tuple(filters)

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """Return the segments after all filters, in their order."""
        for each in self._filters:
            segments = each.apply(segments, background)
        return segments
