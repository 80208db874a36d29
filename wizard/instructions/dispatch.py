"""One place where the wording of each request kind is registered. Pure."""

from __future__ import annotations

from functools import cache, singledispatch
from importlib import import_module

from wizard.facts import Facts
from wizard.instructions.page import Page

_WORDING = (
    "adjusting",
    "byhand",
    "choosing",
    "compensating",
    "confirming",
    "machine_work",
    "measuring",
    "printing",
    "rechecking",
    "results",
)


@singledispatch
def page_of(request: object, facts: Facts) -> Page:
    """Return the page of a request. All wording is loaded at the first. Raises TypeError for no request."""
    _load()
    if page_of.dispatch(type(request)) is page_of.dispatch(object):
        raise TypeError(f"no wording for {type(request).__name__}")
    return page_of(request, facts)


@cache
def _load() -> None:
    """Have every module of wording register what it has words for."""
    for module in _WORDING:
        import_module(f"wizard.instructions.{module}")
