"""What is known of a job so far: folded from its requests and answers, so that procedure, screens,
wording and the restart after a break all see the same. Pure.
"""

from __future__ import annotations

from wizard.facts import changing, following, printed, read, state
from wizard.facts.changing import REALLY_TURNED
from wizard.facts.fold import fold
from wizard.facts.known import Facts, changed
from wizard.requests import AnyAnswer, AnyRequest, Skipped

REGISTERED = (changing, following, printed, read, state)
"""The modules whose functions `fold` is made of."""


def after(facts: Facts, request: AnyRequest, answer: AnyAnswer) -> Facts:
    """Return the facts once `answer` to `request` is in."""
    finding = getattr(request, "finding", None) or facts.finding
    facts = changed(facts, finding=finding, answers=facts.answers + 1)
    if isinstance(answer, Skipped):
        return facts
    return fold(request, answer, facts)


__all__ = ["REALLY_TURNED", "Facts", "after"]
