"""A JSON Schema of profiles, for editors: made from the types, the ranges and the words on each key.

JSON Schema draft 2020-12. What one key allows is in it; how keys fit together is for `profiles check`.
"""

from __future__ import annotations

from typing import Any

import msgspec
from msgspec import inspect

from profiles import keys
from profiles.form import LARGEST_NUMBER
from profiles.machine import Machine
from profiles.ranges import LONGEST_NAME

DRAFT = "https://json-schema.org/draft/2020-12/schema"


def schema() -> dict[str, Any]:
    """Return the schema of a profile's TOML, as one JSON object."""
    whole = msgspec.json.schema(Machine)
    parts = whole["$defs"]
    for kind in _structs(inspect.type_info(Machine)):
        _tell(parts[kind.__name__], kind)
    parts["Machine"]["required"] = ["format", *parts["Machine"]["required"]]
    parts["Machine"]["additionalProperties"] = False
    return {"$schema": DRAFT, "title": "A machine, as Tramwright is told of it", **whole}


def _structs(kind: inspect.Type) -> set[type[msgspec.Struct]]:
    """Return all types of tables that a type is made of."""
    if isinstance(kind, inspect.StructType):
        return {kind.cls}.union(*(_structs(field.type) for field in kind.fields))
    if isinstance(kind, inspect.UnionType):
        return set().union(*(_structs(each) for each in kind.types))
    return _structs(kind.item_type) if isinstance(kind, inspect.VarTupleType) else set()


def _tell(part: dict[str, Any], kind: type[msgspec.Struct]) -> None:
    """Add to one table's schema what each key is, and which numbers it may have."""
    part["description"] = (kind.__doc__ or "").partition("\n")[0]
    for field, told in part["properties"].items():
        _without_null(told)
        if words := keys.about(kind, field):
            told["description"] = words
        allowed = keys.range_of(kind, field) or keys.Range(-LARGEST_NUMBER, LARGEST_NUMBER, "")
        for number in _numbers(told):
            number |= {"minimum": allowed.low, "maximum": allowed.high}
        if field == "name":
            told |= {"minLength": 1, "maxLength": LONGEST_NAME}


def _without_null(told: dict[str, Any]) -> None:
    """Take out what TOML cannot say: there is no null, a key is left out."""
    kept = [each for each in told.get("anyOf", ()) if each.get("type") != "null"]
    if len(kept) == 1:
        del told["anyOf"]
        told |= kept[0]
    if isinstance(told.get("default", ...), dict | None):
        del told["default"]


def _numbers(told: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the schemas of the numbers of one key: itself, or the items of its list."""
    items = told.get("items")
    within = [*told.get("prefixItems", ()), *([items] if isinstance(items, dict) else [])]
    return [each for each in (told, *within) if each.get("type") in ("number", "integer")]
