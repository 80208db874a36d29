"""ROUNDS as JSON: `tramwright-rounds/1`. Pure."""

from __future__ import annotations

import json
from typing import Any

from profiles.faults import nearest, printable, shown
from profiles.machine import Machine
from wizard.formats.rounds_values import (
    LARGEST_GAP_MM,
    MOST_TURNS,
    RoundsFault,
    check_adjuster,
    check_point,
    exact,
    number,
    reading,
)
from wizard.rounds import Reading, Round

FORMAT = "tramwright-rounds/1"
MOST_ROUNDS = 1000


def rounds_of_json(text: str, machine: Machine) -> tuple[Round, ...]:
    """Return the rounds of a JSON document. Raises RoundsFault."""
    document = _table("the document", _loaded(text))
    if document.get("format") != FORMAT:
        said = shown(document["format"]) if "format" in document else "missing"
        raise RoundsFault(f'format is {said}, but must be "{FORMAT}"')
    _only("the document", document, ("format", "rounds"))
    rounds = document.get("rounds")
    if not isinstance(rounds, list) or not 1 <= len(rounds) <= MOST_ROUNDS:
        said = "missing" if rounds is None else shown(rounds)
        raise RoundsFault(f"rounds is {said}, but must be a list of 1 to {MOST_ROUNDS} rounds")
    return tuple(_round(f"round {nth}", one, machine) for nth, one in enumerate(rounds, 1))


def _loaded(text: str) -> object:
    try:
        return json.loads(text, object_pairs_hook=_no_key_twice)
    except RecursionError:
        raise RoundsFault("this is not JSON that can be read: it is nested too deeply") from None
    except ValueError as error:
        raise RoundsFault(f"this is not JSON: {printable(str(error))}") from None


def _no_key_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    table = dict(pairs)
    if len(table) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise RoundsFault(f"{shown(twice)} stands twice in one object, but each name may stand once")
    return table


def _round(place: str, one: object, machine: Machine) -> Round:
    table = _table(place, one)
    _only(place, table, ("readings", "turned", "height_change_mm"))
    readings = _table(f"{place}, readings", table.get("readings", {}))
    turned = _table(f"{place}, turned", table.get("turned", {}))
    change = table.get("height_change_mm", 0.0)
    return Round(
        {name: _reading(f"{place}, readings", name, told, machine) for name, told in readings.items()},
        {name: _turns(f"{place}, turned", name, told, machine) for name, told in turned.items()},
        number(f"{place}, height_change_mm", change, LARGEST_GAP_MM, "mm"),
    )


def _reading(place: str, name: str, told: object, machine: Machine) -> Reading:
    check_point(place, name, machine)
    place = f"{place}, {shown(name)}"
    table = _table(place, told)
    _only(place, table, ("low", "high", "gap"))
    if "gap" in table and len(table) > 1:
        raise RoundsFault(f"{place} has gap beside low or high, but must have either gap or low and high")
    for side in table:
        number(f"{place}, {side}", table[side], LARGEST_GAP_MM, "mm")
    return (
        exact(place, table["gap"]) if "gap" in table else reading(place, table.get("low"), table.get("high"))
    )


def _turns(place: str, name: str, told: object, machine: Machine) -> float:
    check_adjuster(place, name, machine)
    return number(f"{place}, {shown(name)}", told, MOST_TURNS, "turns")


def _table(place: str, value: object) -> dict[str, Any]:
    if not isinstance(value, dict):
        said = "null" if value is None else shown(value)
        raise RoundsFault(f"{place} is {said}, but must be an object in braces")
    return value


def _only(place: str, table: dict[str, Any], known: tuple[str, ...]) -> None:
    for name in table:
        if name not in known:
            raise RoundsFault(f"{place}: {shown(name)} is no known key; {nearest(name, known)}")
