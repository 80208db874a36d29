"""A text that a profile's reply pattern matches, made from the pattern itself. Pure.

Only what patterns for a machine's answers need: literal text, optional and repeated parts, sets,
alternatives, groups. Anything else is checked for by matching the result.
"""

from __future__ import annotations

import re
from re import _constants as ops  # type: ignore[attr-defined]
from re import _parser as reader  # type: ignore[attr-defined]
from typing import Any


def answer_matching(pattern: str, group: str, value: str) -> str:
    """Return a text in which `pattern` finds `value` as the named group. Raises ValueError if it cannot."""
    parsed = reader.parse(pattern)
    text = _write(parsed, {parsed.state.groupdict.get(group): value})
    found = re.search(pattern, text)
    if found is None or found[group] != value:
        raise ValueError(f"no answer could be made for the pattern {pattern!r}")
    return text


def _write(parts: Any, values: dict[int | None, str]) -> str:
    return "".join(_write_one(op, argument, values) for op, argument in parts)


def _write_one(op: Any, argument: Any, values: dict[int | None, str]) -> str:
    if op in (ops.LITERAL, ops.RANGE):
        return chr(argument if op is ops.LITERAL else argument[0])
    if op in (ops.MAX_REPEAT, ops.MIN_REPEAT):
        return _write(argument[2], values) * int(argument[0])
    if op is ops.SUBPATTERN:
        number, _, _, part = argument
        value = values.get(number)
        return _write(part, values) if value is None else value
    if op is ops.BRANCH:
        return _write(argument[1][0], values)
    if op is ops.IN:
        return _write_one(argument[0][0], argument[0][1], values)
    return _KINDS.get(argument if op is ops.CATEGORY else op, "")


_KINDS: dict[Any, str] = {
    ops.ANY: " ",
    ops.CATEGORY_SPACE: " ",
    ops.CATEGORY_DIGIT: "0",
    ops.CATEGORY_WORD: "x",
    ops.CATEGORY_NOT_SPACE: "x",
}
