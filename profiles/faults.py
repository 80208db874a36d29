"""What can be wrong in a profile, as values that read as sentences. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

LONGEST_SHOWN = 60


class ProfileError(Exception):
    """A profile cannot be used; the text is one sentence naming file, key, value, what is allowed."""


class Fault(NamedTuple):
    """One thing that is wrong: where, and the rest of the sentence."""

    key: str
    said: str

    def sentence(self, file: str, line: int | None = None) -> str:
        """Return the whole sentence for the profile in `file`; `line` is where the key stands, from 1."""
        place = printable(file) if line is None else f"{printable(file)}, line {line}"
        return f"{place}: {self.key} {self.said}."


def wrong(key: str, value: object, allowed: str) -> Fault:
    """Return the fault of a value that is not allowed."""
    return Fault(key, f"is {shown(value)}, but must be {allowed}")


def missing(key: str, allowed: str) -> Fault:
    """Return the fault of a key that is not there."""
    return Fault(key, f"is missing; it must be {allowed}")


def unwanted(key: str, value: object, why: str) -> Fault:
    """Return the fault of a key that must not be there."""
    return Fault(key, f"is {shown(value)}, but must be left out: {why}")


def unknown(parent: str, name: str, known: Iterable[str]) -> Fault:
    """Return the fault of a key nobody knows, with the nearest known one."""
    known = tuple(known)
    return Fault(below(parent, printable(name)), f"is no key of a profile; {nearest(name, known)}")


def nearest(name: str, known: tuple[str, ...]) -> str:
    """Return what is allowed in place of `name`, the nearest first where one is near."""
    from difflib import get_close_matches  # loaded where a name is wrong: most are right

    near = get_close_matches(name, known, n=1, cutoff=0.6)
    perhaps = f'perhaps "{near[0]}" is meant; ' if near else ""
    return f"{perhaps}allowed are {', '.join(known)}"


def below(parent: str, name: str) -> str:
    """Return the dotted key of `name` in `parent` ("" is the top)."""
    return f"{parent}.{name}" if parent else name


def shown(value: object) -> str:
    """Return a value as it may be printed on any terminal: short, and without control characters."""
    if isinstance(value, str):
        return f'"{shortened(printable(value))}"'
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return repr(value).removesuffix(".0")
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list | tuple):
        return shortened("[" + ", ".join(shown(item) for item in value[:LONGEST_SHOWN]) + "]")
    return shortened(_digits(value))


def printable(text: str) -> str:
    """Return `text` with everything that a terminal might act on written as an escape."""
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text)


def shortened(text: str) -> str:
    """Return `text`, its middle left out where it is long."""
    if len(text) <= LONGEST_SHOWN:
        return text
    half = LONGEST_SHOWN // 2 - 2
    return f"{text[:half]}...{text[-half:]}"


def _digits(value: object) -> str:
    try:
        return str(value)
    except ValueError:  # an integer with more digits than Python is willing to print
        return "a number of thousands of digits"
