"""The standard blocks sent to a machine, as frozen values, and how each is written.

Every block is one command of the open word-address grammar (NISTIR 6556 section 3.3): a letter and
a number a word, no exponents, no comments. What only some machines understand is a `Template`,
filled from the machine's profile.
"""

from __future__ import annotations

import math
import re
import string

import msgspec

_TEMPLATE = re.compile(r"[A-Za-z][A-Za-z0-9.\- ]*")


class Plain(msgspec.Struct, frozen=True):
    """A command whose words are always the same, such as "G90"."""

    code: str


class Home(msgspec.Struct, frozen=True):
    """Find the origin of all axes."""


class Move(msgspec.Struct, frozen=True, kw_only=True):
    """A straight move to absolute coordinates, mm and mm/min. An axis of None stays where it is.

    rapid: the sideways move between points; otherwise a move at feed.
    """

    x_mm: float | None = None
    y_mm: float | None = None
    z_mm: float | None = None
    feed_mm_min: float
    rapid: bool = False


class Draw(msgspec.Struct, frozen=True, kw_only=True):
    """A straight sideways move while `extrude_mm` of filament goes in; mm, mm/min, relative filament."""

    x_mm: float
    y_mm: float
    extrude_mm: float
    feed_mm_min: float


class Push(msgspec.Struct, frozen=True, kw_only=True):
    """Filament alone: drawn back (below 0) or pushed forward; mm, mm/min."""

    extrude_mm: float
    feed_mm_min: float


class SetNozzle(msgspec.Struct, frozen=True):
    """Set the nozzle's target, degrees Celsius, without waiting."""

    target_c: float


class SetBed(msgspec.Struct, frozen=True):
    """Set the plate's target, degrees Celsius, without waiting."""

    target_c: float


class Template(msgspec.Struct, frozen=True):
    """A block made from a profile's template. Build it with `filled`, which checks it."""

    block: str


Command = Plain | Home | Move | Draw | Push | SetNozzle | SetBed | Template

MILLIMETRES = Plain("G21")
ABSOLUTE = Plain("G90")
RELATIVE_FILAMENT = Plain("M83")
KEEP_MOTORS_ON = Plain("M84 S0")
FINISH_MOVES = Plain("M400")
TELL_POSITION = Plain("M114")
TELL_TEMPERATURES = Plain("M105")
TELL_IDENTITY = Plain("M115")
TELL_ENDSTOPS = Plain("M119")
STOP = Plain("M112")
RENUMBER = Plain("M110")


def number(value: float, decimals: int = 3) -> str:
    """Write a number with at most so many decimals and no exponent. Raises ValueError if not finite."""
    if not math.isfinite(value):
        raise ValueError(f"{value} cannot be written in a block")
    text = f"{value:.{decimals}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def encode(command: Command) -> str:
    """Return the block for `command`, without line number and checksum."""
    match command:
        case Plain(code):
            return code
        case Home():
            return "G28"
        case Move():
            return _encode_move(command)
        case Draw():
            place = f"X{number(command.x_mm)} Y{number(command.y_mm)}"
            return f"G1 {place} {_filament(command)} F{number(command.feed_mm_min)}"
        case Push():
            return f"G1 {_filament(command)} F{number(command.feed_mm_min)}"
        case SetNozzle(target_c):
            return f"M104 S{number(target_c)}"
        case SetBed(target_c):
            return f"M140 S{number(target_c)}"
        case Template(block):
            return block


def _filament(command: Draw | Push) -> str:
    """Write a length of filament to a hundredth of a micrometre, as many short ones add up."""
    return f"E{number(command.extrude_mm, 5)}"


def _encode_move(move: Move) -> str:
    axes = (("X", move.x_mm), ("Y", move.y_mm), ("Z", move.z_mm))
    words = [f"{letter}{number(value)}" for letter, value in axes if value is not None]
    if not words:
        raise ValueError("a move needs at least one axis")
    return " ".join(["G0" if move.rapid else "G1", *words, f"F{number(move.feed_mm_min)}"])


def filled(template: str, **fields: float) -> Template:
    """Fill a profile's template with numbers.

    Raises ValueError where the template names another field, or where the result is not one plain
    block: no line ends, comments, checksums or second blocks can be smuggled in by a profile.
    """
    try:
        wanted = [name for _, name, _, _ in string.Formatter().parse(template) if name is not None]
    except ValueError as error:
        raise ValueError(f"template {template!r}: {error}") from None
    unknown = sorted(set(wanted) - set(fields))
    if unknown:
        allowed = ", ".join(f"{{{name}}}" for name in fields) or "none"
        raise ValueError(f"template {template!r} names {unknown[0]!r}; fields allowed: {allowed}")
    block = template
    for name, value in fields.items():
        block = block.replace(f"{{{name}}}", number(value))
    if not _TEMPLATE.fullmatch(block):
        raise ValueError(f"template {template!r} makes {block!r}: only letters, digits, '.', '-' and spaces")
    return Template(block)
