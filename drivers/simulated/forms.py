"""The form of a block that a profile's template makes, and the numbers that stand in it. Pure."""

from __future__ import annotations

import re

from drivers.simulated.interpreter import Call

_FIELD = re.compile(r"\\\{([a-z_]+)\\\}")
_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)"


class Form:
    """The form of a block that a template makes: finds the numbers of its fields."""

    def __init__(self, template: str | None) -> None:
        escaped = re.escape(" ".join((template or "").split()))
        pattern = _FIELD.sub(lambda field: f"(?P<{field[1]}>{_NUMBER})", escaped)
        self._pattern = re.compile(pattern, re.IGNORECASE) if template else None

    def fields(self, call: Call) -> dict[str, float] | None:
        """Return the fields' numbers; None where the block is of another form."""
        found = self._pattern.fullmatch(" ".join(call.block.text.split())) if self._pattern else None
        return {name: float(text) for name, text in found.groupdict().items()} if found else None
