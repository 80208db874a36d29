"""Contrast by WCAG 2.1, success criterion 1.4.3: at least 4.5 to 1, computed from its own formula."""

from __future__ import annotations

import pytest
from rich.color import Color, ColorSystem
from rich.terminal_theme import DEFAULT_TERMINAL_THEME

from wizard.widgets.theme import DARK, LIGHT

PAIRS = [
    ("ink", "ground"),
    ("faint", "ground"),
    ("wide", "ground"),
    ("narrow", "ground"),
    ("band-ink", "band"),
    ("ground", "ink"),
]
LEAST = 4.5
# The sixteen colours as xterm draws them (xterm's own resources: XTerm-col.ad).
XTERM_16 = [
    (0, 0, 0), (205, 0, 0), (0, 205, 0), (205, 205, 0),
    (0, 0, 238), (205, 0, 205), (0, 205, 205), (229, 229, 229),
    (127, 127, 127), (255, 0, 0), (0, 255, 0), (255, 255, 0),
    (92, 92, 255), (255, 0, 255), (0, 255, 255), (255, 255, 255),
]  # fmt: skip


def _luminance(rgb: tuple[int, int, int]) -> float:
    """WCAG 2.1, definition of relative luminance."""
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in (v / 255 for v in rgb)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _contrast(one: tuple[int, int, int], other: tuple[int, int, int]) -> float:
    darker, lighter = sorted((_luminance(one), _luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def test_the_formula_gives_the_extremes_that_the_standard_names() -> None:
    """Black on white is 21 to 1 (WCAG 2.1, definition of contrast ratio: "range from 1 to 21")."""
    assert _contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21.0)
    assert _contrast((9, 9, 9), (9, 9, 9)) == pytest.approx(1.0)


@pytest.mark.parametrize("theme", [DARK, LIGHT], ids=lambda theme: theme.name)
@pytest.mark.parametrize(("ink", "ground"), PAIRS)
def test_every_ink_is_readable_in_full_colour(theme: object, ink: str, ground: str) -> None:
    variables = theme.variables  # type: ignore[attr-defined]
    rgb = [
        tuple(Color.parse(variables[name]).get_truecolor(DEFAULT_TERMINAL_THEME)) for name in (ink, ground)
    ]
    assert _contrast(*rgb) >= LEAST  # type: ignore[arg-type]


@pytest.mark.parametrize("theme", [DARK, LIGHT], ids=lambda theme: theme.name)
@pytest.mark.parametrize(("ink", "ground"), PAIRS)
def test_every_ink_is_readable_once_rounded_to_sixteen_colours(theme: object, ink: str, ground: str) -> None:
    variables = theme.variables  # type: ignore[attr-defined]
    numbers = [Color.parse(variables[name]).downgrade(ColorSystem.STANDARD).number for name in (ink, ground)]
    assert _contrast(*(XTERM_16[number or 0] for number in numbers)) >= LEAST
