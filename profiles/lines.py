"""On which line of a TOML file each key stands. Pure.

The text is known to be TOML: it is cut into statements, each of which the parser of the standard library
reads by itself, so that quoted and dotted keys, lists over several lines and tables in one line are read
as they are.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from typing import Any

from profiles.faults import below, printable
from profiles.form import item_key

Path = tuple[str | int, ...]
LONGEST_STATEMENT = 400
"""Lines that are joined to find the end of one statement, at most."""


def lines_of(text: str, document: dict[str, Any]) -> dict[str, int]:
    """Return the line, from 1, of each key of a document, told as in the sentences on faults."""
    at: dict[Path, int] = {}
    for path, line in _places(text.split("\n"), document):
        at.setdefault(path, line)
    return {_told(path, document): line for path, line in at.items()}


def line_of(key: str, lines: dict[str, int]) -> int | None:
    """Return the line of a key, or of the nearest table that holds it; None for a table that is not there."""
    while key and key not in lines:
        key = key[: max(key.rfind("."), key.rfind("["), 0)]
    return lines.get(key)


def _places(lines: list[str], document: dict[str, Any]) -> Iterator[tuple[Path, int]]:
    base: Path = ()
    counts: dict[Path, int] = {}
    nth = 0
    while nth < len(lines):
        bare = lines[nth].strip()
        if bare.startswith("["):
            base = _header(bare, counts)
            yield from ((base[:size], nth + 1) for size in range(1, len(base) + 1))
            nth += 1
        elif not bare or bare.startswith("#"):
            nth += 1
        else:
            size, tables = _statement(lines, nth)
            if not size:
                return
            yield from ((base + path, nth + 1) for path in _paths(tables))
            nth += size


def _header(bare: str, counts: dict[Path, int]) -> Path:
    """Return the path of a table; each item of several tables has its number from 1."""
    path = max(_paths(_parsed(bare) or {}), key=len, default=())
    names = [part for part in path if isinstance(part, str)]
    found: Path = ()
    for nth, name in enumerate(names, 1):
        found = (*found, name)
        if nth == len(names) and bare.startswith("[["):
            counts[found] = counts.get(found, 0) + 1
        if found in counts:
            found = (*found, counts[found])
    return found


def _statement(lines: list[str], start: int) -> tuple[int, dict[str, Any]]:
    """Return how many lines the statement that begins at `start` takes, and what it says; 0: too many."""
    for size in range(1, min(LONGEST_STATEMENT, len(lines) - start) + 1):
        tables = _parsed("\n".join(lines[start : start + size]))
        if tables is not None:
            return size, tables
    return 0, {}


def _parsed(text: str) -> dict[str, Any] | None:
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError):
        return None


def _paths(value: object, base: Path = ()) -> Iterator[Path]:
    if isinstance(value, dict):
        for name, below_it in value.items():
            yield (*base, name)
            yield from _paths(below_it, (*base, name))
    elif isinstance(value, list) and value and all(isinstance(item, dict) for item in value):
        for nth, item in enumerate(value, 1):
            yield (*base, nth)
            yield from _paths(item, (*base, nth))


def _told(path: Path, document: dict[str, Any]) -> str:
    """Return a path as the sentences on faults tell it, as in: adjuster 2 ("front").thread."""
    key, here = "", document
    for part in path:
        try:
            here = here[part - 1] if isinstance(part, int) else here[part]  # type: ignore[index]
        except (KeyError, IndexError, TypeError):
            here = {}
        key = item_key(key, part, here) if isinstance(part, int) else below(key, printable(part))
    return key
