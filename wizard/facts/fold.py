"""What follows from an answer: one function a request, registered beside its like."""

from __future__ import annotations

from functools import singledispatch

from wizard.facts.known import Facts
from wizard.requests import AnyAnswer


@singledispatch
def fold(request: object, answer: AnyAnswer, facts: Facts) -> Facts:
    """Return the facts after an answer; a request that is not registered changes nothing."""
    return facts
