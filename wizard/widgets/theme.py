"""The two backgrounds, dark and light, and the inks of the drawings.

Every pair of ink and ground keeps a contrast of at least 4.5 to 1 (WCAG 2.1, 1.4.3), also after
a terminal has rounded it to its sixteen colours; a test computes that. Blue and orange tell the
sides of a deviation for those who see neither red nor green; a mark says the same by its shape.
"""

from __future__ import annotations

from rich.style import Style
from textual.theme import BUILTIN_THEMES, Theme
from textual.widget import Widget

from wizard.widgets.canvas import Ink

_DARK = {"ground": "#12161a", "ink": "#f6f3ea", "faint": "#b4bcc2", "wide": "#ffb454", "narrow": "#7fc8ff"}
_LIGHT = {"ground": "#fbf8ef", "ink": "#16181a", "faint": "#24282c", "wide": "#8f2000", "narrow": "#003399"}
_BAND = {
    "dark": {"band": "#efe6cf", "band-ink": "#14120d"},
    "light": {"band": "#22262a", "band-ink": "#fbf8ef"},
}


def _theme(name: str, colours: dict[str, str], band: dict[str, str], dark: bool) -> Theme:
    return Theme(
        name=name,
        primary=colours["narrow"],
        warning=colours["wide"],
        foreground=colours["ink"],
        background=colours["ground"],
        surface=colours["ground"],
        panel=colours["ground"],
        dark=dark,
        text_alpha=1.0,
        variables={**colours, **band},
    )


DARK = _theme("bench-dark", _DARK, _BAND["dark"], dark=True)
LIGHT = _theme("bench-light", _LIGHT, _BAND["light"], dark=False)
_NO_COLOUR = dict.fromkeys((*_DARK, *_BAND["dark"]), "ansi_default")
# The terminal's own two colours: everything is told by shape, weight and reversal.
BARE = Theme(
    name="bench-bare",
    ansi=True,
    primary="ansi_default",
    foreground="ansi_default",
    background="ansi_default",
    surface="ansi_default",
    panel="ansi_default",
    variables={**BUILTIN_THEMES["ansi-dark"].variables, **_NO_COLOUR},
)
THEMES = (DARK, LIGHT, BARE)
_BOLD = ("word", "within", "turn", "adjuster", "point")


def ink_for(widget: Widget) -> Ink:
    """Return the inks of the drawings in the present theme."""
    bare = widget.app.theme == BARE.name
    variables = widget.app.theme_variables
    ink: dict[str, str | Style] = dict.fromkeys(_BOLD, "bold")
    ink |= {"here": "bold reverse", "edge": "", "wide": "bold", "narrow": "bold"}
    if not bare:
        ink |= {
            "edge": variables["faint"],
            "wide": f"bold {variables['wide']}",
            "narrow": f"bold {variables['narrow']}",
        }
    return ink
