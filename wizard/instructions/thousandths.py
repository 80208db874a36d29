"""Thousandths of an inch beside millimetres, for whoever's gauge is marked in them. Pure."""

from __future__ import annotations

import re

import msgspec

from profiles.machine import THOU_MM
from wizard.facts import Facts
from wizard.instructions.fitting import LABEL_WIDTH, TITLE_WIDTH, cells, fit, fits, sentences
from wizard.instructions.page import Page

LARGEST_MM = 3.0
"""Longer lengths are no gaps, and are left as they are."""

_FIGURE = r"[+-]?\d*\.\d+"
_LENGTHS = re.compile(
    rf"(?<![\w.])(?P<first>{_FIGURE})(?: (?P<between>to|\+/-) (?P<second>{_FIGURE}))?"
    r"(?: mm\b(?!/| per| x)| leaf\b)"
)
_BARE = re.compile(rf"(?<![\w.])(?P<first>{_FIGURE})(?![\w.])")


def thou(length_mm: float) -> str:
    """Return a length in thousandths of an inch, with one decimal where it is not whole."""
    text = f"{round(length_mm / THOU_MM, 1) + 0.0:.1f}"
    return text.removesuffix(".0")


def beside(text: str) -> str:
    """Return the text with thousandths after each length in mm that a gauge could tell."""
    return _LENGTHS.sub(_told, text)


def _told(found: re.Match[str]) -> str:
    figures = [found["first"], *([found["second"]] if found["second"] else [])]
    if any(abs(float(figure)) > LARGEST_MM for figure in figures):
        return found[0]
    inner = f" {found['between']} ".join(_signed(figure) for figure in figures)
    return f"{found[0]} ({inner} thou)"


def _signed(figure: str) -> str:
    """Return thousandths with the sign as it was told."""
    plus = "+" if figure.startswith("+") else ""
    return plus + thou(float(figure))


def cell_beside(cell: str) -> str:
    """Return a table's cell with the thousandths of its figures after them."""
    figures = [found["first"] for found in _BARE.finditer(cell)]
    return f"{cell} ({' to '.join(_signed(figure) for figure in figures)})" if figures else cell


def page_beside(page: Page, facts: Facts) -> Page:
    """Return the page with thousandths beside mm where they are wanted, as far as there is room."""
    if not wanted(facts):
        return page
    choices = tuple(
        msgspec.structs.replace(choice, label=_if_short(choice.label, LABEL_WIDTH)) for choice in page.choices
    )
    return msgspec.structs.replace(
        page, title=_if_short(page.title, TITLE_WIDTH), body=_body(page.body), choices=choices
    )


def wanted(facts: Facts) -> bool:
    """Tell whether they are: asked for, or the profile tells its leaves in them."""
    gauge = facts.machine.gauge
    return facts.thou or bool(gauge.leaves_thou) or gauge.card_thou is not None


def _if_short(text: str, most: int) -> str:
    longer = beside(text)
    return longer if cells(longer) <= most else text


def _body(lines: tuple[str, ...]) -> tuple[str, ...]:
    """Return the lines anew, the first sentences with thousandths, as many as there is room for."""
    told = list(sentences(lines))
    for nth, sentence in enumerate(told):
        longer = [*told[:nth], beside(sentence), *told[nth + 1 :]]
        told = longer if fits(*longer) else told
    return fit(*told) if tuple(told) != sentences(lines) else lines
