"""The tables of a profile -> commented TOML. Pure.

Comments are the words on each key, given where a key comes for the first time; they stand in one column.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import msgspec
from msgspec import inspect

from profiles import keys
from profiles.machine import Machine

COLUMN = 34
FIRST = ("format", "name", "at_mm", "kind")
HEAD = """\
# Check every value against the machine and the maker's manual: a wrong limit, height or direction can
# drive the nozzle into the plate. Then run: tramwright profiles check FILE. Lengths in mm.
"""


def toml_of(document: dict[str, Any], head: str = HEAD) -> str:
    """Return a profile's tables as commented TOML, in the order of the types. None is left out."""
    kind = inspect.type_info(Machine)
    assert isinstance(kind, inspect.StructType)
    return head + "\n".join(_table("", document, kind, set())) + "\n"


def _table(header: str, table: dict[str, Any], kind: inspect.StructType, told: set[str]) -> Iterator[str]:
    inner: list[tuple[str, Any, inspect.StructType, bool]] = []
    for field in sorted(kind.fields, key=lambda field: field.encode_name not in FIRST):
        value, below = table.get(field.encode_name), _tables_of(field.type)
        if value is None or value == []:
            continue
        if below is None:
            yield _line(kind.cls, field.encode_name, value, told)
        else:
            inner.append((field.encode_name, value, *below))
    for name, value, of, many in inner:
        where = f"{header}.{name}" if header else name
        for each in value if many else (value,):
            yield from ("", f"[[{where}]]" if many else f"[{where}]")
            yield from _table(where, each, of, told)


def _tables_of(kind: inspect.Type) -> tuple[inspect.StructType, bool] | None:
    """Return the type of a table, or of several (True); None for a plain value."""
    if isinstance(kind, inspect.UnionType):
        return next(filter(None, map(_tables_of, kind.types)), None)
    if isinstance(kind, inspect.StructType):
        return kind, False
    if isinstance(kind, inspect.VarTupleType) and isinstance(kind.item_type, inspect.StructType):
        return kind.item_type, True
    return None


def _line(owner: type[msgspec.Struct], name: str, value: Any, told: set[str]) -> str:
    line, words = f"{name} = {_value(value)}", keys.about(owner, name)
    if not words or words in told or (owner, name) == (Machine, "format"):
        return line
    told.add(words)
    return f"{line:<{COLUMN - 2}}  # {words}"


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(_value, value))}]"
    return repr(value).removesuffix(".0") if isinstance(value, float) else str(value)


def _text(text: str) -> str:
    """Return text as TOML: literal where that is plainer to read, as for patterns."""
    if "\\" in text and text.isprintable() and "'" not in text:
        return f"'{text}'"
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
