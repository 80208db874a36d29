"""Has a document the form of a machine: the right keys, each of the right type? Pure.

The types in `profiles.machine` are the one description; this walks a document along them, so that
each fault can be told in words, with the place and the nearest known key.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from functools import cache
from typing import Any

import msgspec
from msgspec import inspect

from profiles.faults import Fault, below, missing, shown, unknown, wrong
from profiles.machine import Machine

LARGEST_NUMBER = 1e7
Walker = Callable[[str, object, Any], Iterator[Fault]]


def faults(document: dict[str, Any]) -> Iterator[Fault]:
    """Yield what keeps `document` from being a `Machine`, in the order of the types."""
    return iter(()) if _is_machine(document) else walked(document)


def walked(document: dict[str, Any]) -> Iterator[Fault]:
    """Yield the same by a walk along the types, which takes them apart: slow, and needed to word a fault."""
    return _walk("", document, _types())


@cache
def _types() -> inspect.Type:
    """Taken apart once: it takes longer than all that is asked of them."""
    return inspect.type_info(Machine)


def _is_machine(document: dict[str, Any]) -> bool:
    """Whether nothing is wrong, as far as that can be said quickly."""
    try:
        msgspec.convert(document, Machine)
    except (msgspec.ValidationError, OverflowError, RecursionError):
        return False
    return _are_plain(document)


def _are_plain(value: object) -> bool:
    """Whether all values are such as a file has them, and each number is within its bounds."""
    if isinstance(value, dict):
        return all(map(_are_plain, value.values()))
    if isinstance(value, list):
        return all(map(_are_plain, value))
    if isinstance(value, str | bool):
        return True
    return isinstance(value, int | float) and abs(value) <= LARGEST_NUMBER


def only_known(document: dict[str, Any]) -> dict[str, Any]:
    """Return the document without the keys that nobody knows."""
    known: dict[str, Any] = _only_known(document, _types())
    return known


def _only_known(value: Any, kind: inspect.Type) -> Any:
    if isinstance(kind, inspect.UnionType):
        return _only_known(value, _some(kind))
    if isinstance(kind, inspect.VarTupleType) and isinstance(value, list):
        return [_only_known(item, kind.item_type) for item in value]
    if not isinstance(kind, inspect.StructType) or not isinstance(value, dict):
        return value
    fields = {field.encode_name: field.type for field in kind.fields}
    return {name: _only_known(item, fields[name]) for name, item in value.items() if name in fields}


def _walk(key: str, value: object, kind: inspect.Type) -> Iterator[Fault]:
    return WALKERS[type(kind)](key, value, kind)


def _struct(key: str, value: object, kind: inspect.StructType) -> Iterator[Fault]:
    if not isinstance(value, dict):
        yield wrong(key, value, _wanted(kind))
        return
    names = tuple(field.encode_name for field in kind.fields)
    for name in value:
        if name not in names:
            yield unknown(key, name, names)
    for field in kind.fields:
        where = below(key, field.encode_name)
        if field.encode_name in value:
            yield from _walk(where, value[field.encode_name], field.type)
        elif field.required:
            yield missing(where, _wanted(field.type))


def _optional(key: str, value: object, kind: inspect.UnionType) -> Iterator[Fault]:
    return _walk(key, value, _some(kind))


def _pair(key: str, value: object, kind: inspect.TupleType) -> Iterator[Fault]:
    if not isinstance(value, list) or len(value) != len(kind.item_types):
        yield wrong(key, value, _wanted(kind))
        return
    for nth, (item, of) in enumerate(zip(value, kind.item_types, strict=True), 1):
        yield from _walk(f"{key}[{nth}]", item, of)


def _list(key: str, value: object, kind: inspect.VarTupleType) -> Iterator[Fault]:
    if not isinstance(value, list):
        yield wrong(key, value, _wanted(kind))
        return
    for nth, item in enumerate(value, 1):
        where = (
            item_key(key, nth, item) if isinstance(kind.item_type, inspect.StructType) else f"{key}[{nth}]"
        )
        yield from _walk(where, item, kind.item_type)


def _literal(key: str, value: object, kind: inspect.LiteralType) -> Iterator[Fault]:
    if value not in kind.values:
        yield wrong(key, value, _wanted(kind))


def _number(key: str, value: object, kind: inspect.FloatType | inspect.IntType) -> Iterator[Fault]:
    whole = isinstance(kind, inspect.IntType)
    if isinstance(value, bool) or not isinstance(value, int if whole else int | float):
        yield wrong(key, value, _wanted(kind))
    elif not math.isfinite(value):
        yield wrong(key, value, f"{_wanted(kind)} that is finite")
    elif abs(value) > LARGEST_NUMBER:
        yield wrong(key, value, f"between {-LARGEST_NUMBER:.0f} and {LARGEST_NUMBER:.0f}")


def _text(key: str, value: object, kind: inspect.StrType) -> Iterator[Fault]:
    if not isinstance(value, str):
        yield wrong(key, value, _wanted(kind))


def _flag(key: str, value: object, kind: inspect.BoolType) -> Iterator[Fault]:
    if not isinstance(value, bool):
        yield wrong(key, value, _wanted(kind))


def item_key(key: str, nth: int, item: object) -> str:
    """Return the key of one of several tables: by its number, and by its name where it has one."""
    name = item.get("name") if isinstance(item, dict) else getattr(item, "name", None)
    return f"{key} {nth} ({shown(name)})" if isinstance(name, str) and name.strip() else f"{key} {nth}"


def _some(kind: inspect.UnionType) -> inspect.Type:
    return next(of for of in kind.types if not isinstance(of, inspect.NoneType))


def _wanted(kind: inspect.Type) -> str:
    if isinstance(kind, inspect.UnionType):
        return _wanted(_some(kind))
    if isinstance(kind, inspect.LiteralType):
        return " or ".join(sorted(shown(value) for value in kind.values))
    if isinstance(kind, inspect.TupleType):
        return f"a list of two: {_wanted(kind.item_types[0])} each"
    if isinstance(kind, inspect.VarTupleType):
        of_tables = isinstance(kind.item_type, inspect.StructType)
        return "tables, each headed by double brackets" if of_tables else "a list of numbers"
    return PLAIN_WORDS[type(kind)]


PLAIN_WORDS: dict[type[inspect.Type], str] = {
    inspect.StructType: "a table",
    inspect.FloatType: "a number",
    inspect.IntType: "a whole number",
    inspect.StrType: "text in quotes",
    inspect.BoolType: "true or false",
}
WALKERS: dict[type[inspect.Type], Walker] = {
    inspect.StructType: _struct,
    inspect.UnionType: _optional,
    inspect.TupleType: _pair,
    inspect.VarTupleType: _list,
    inspect.LiteralType: _literal,
    inspect.FloatType: _number,
    inspect.IntType: _number,
    inspect.StrType: _text,
    inspect.BoolType: _flag,
}
