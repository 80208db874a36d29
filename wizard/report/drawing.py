"""By what pictures are drawn: the plotting library where it is installed, else plain SVG."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib.util import find_spec

from profiles.machine import Machine
from wizard.report.picture import picture

Draw = Callable[[Machine, Mapping[str, float], float, str], str]


def best() -> Draw:
    """Return the best way to draw that there is; a plotting library that cannot be loaded is none."""
    if find_spec("matplotlib") is None:
        return picture
    try:
        from wizard.report.plots import plot
    except ImportError:
        return picture
    return plot
