"""What is known of a job so far: folded from its requests and answers, so that procedure, screens,
wording and the restart after a break all see the same. Pure.

What follows from an answer is loaded at the first: a screen is painted before there is any.
"""

from __future__ import annotations

from functools import cache
from importlib import import_module

from wizard.facts.fold import fold
from wizard.facts.known import Facts, changed
from wizard.requests import AnyAnswer, AnyRequest, Skipped

__all__ = ["Facts", "after"]
_FOLDING = ("changing", "following", "printed", "read", "state")


def after(facts: Facts, request: AnyRequest, answer: AnyAnswer) -> Facts:
    """Return the facts once `answer` to `request` is in."""
    _load()
    finding = getattr(request, "finding", None) or facts.finding
    facts = changed(facts, finding=finding, answers=facts.answers + 1)
    if isinstance(answer, Skipped):
        return facts
    return fold(request, answer, facts)


@cache
def _load() -> None:
    """Have every module register what follows from the answers it knows of."""
    for module in _FOLDING:
        import_module(f"wizard.facts.{module}")
