"""One place where the wording of each request kind is registered. Pure."""

from __future__ import annotations

from functools import singledispatch

from wizard.facts import Facts
from wizard.instructions.page import Page


@singledispatch
def page_of(request: object, facts: Facts) -> Page:
    """Return the page of a request. Raises TypeError for what is no request."""
    raise TypeError(f"no wording for {type(request).__name__}")
