"""The bed from above by matplotlib, where the extra `plots` is installed. Imported only from here.

The same as the plain picture tells: colour scaled to the tolerance, labelled contour lines, and the
deviation with its sign at every point. The result is SVG for a page: nothing is fetched, no date is in it.
"""

from __future__ import annotations

import io
import re
from collections.abc import Mapping
from html import escape
from typing import Any

import numpy as np
from matplotlib import rc_context
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Patch, Rectangle

from profiles.machine import Machine
from wizard.instructions import signed_mm
from wizard.report import surface
from wizard.report.picture import NARROW, WIDE, levels

WIDTH_IN = 3.4
SHADES = 33
DEEPEST = 1.6
"""Colours go so many tolerances to each side; beyond, the last holds."""

STYLE: dict[Any, Any] = {
    "svg.fonttype": "none",
    "svg.hashsalt": "tramwright",
    "font.size": 8,
    "text.parse_math": False,
}
NOTHING_TOLD: dict[str, Any] = dict.fromkeys(("Date", "Creator", "Format", "Type"))


def plot(machine: Machine, deviations: Mapping[str, float], limit_mm: float, told: str) -> str:
    """Return the SVG. deviations: by point, mm; limit_mm: the tolerance, which the colours are scaled to."""
    known = {name: value for name, value in deviations.items() if name in {p.name for p in machine.point}}
    low, high = surface.corners(machine)
    deep = (high[1] - low[1]) / max(high[0] - low[0], 1.0)
    with rc_context(STYLE):
        figure = Figure(figsize=(WIDTH_IN, WIDTH_IN * min(max(deep, 0.4), 2.5)), layout="constrained")
        axes = figure.add_subplot()
        edge = _edge(machine)
        axes.add_patch(edge)
        if len(known) >= 3:
            _colours(axes, machine, known, max(limit_mm, 1e-6), edge)
        _marks(axes, machine, known)
        axes.set(
            xlim=(low[0], high[0]),
            ylim=(low[1], high[1]),
            aspect="equal",
            xlabel="front, X mm",
            ylabel="Y mm",
        )
        return _svg(figure, told)


def _edge(machine: Machine) -> Patch:
    look: dict[str, Any] = {"fill": False, "edgecolor": "#222", "linewidth": 1.0}
    if machine.bed.shape == "round":
        return Circle(machine.bed.origin_mm, (machine.bed.diameter_mm or 0.0) / 2.0, **look)
    width, depth = machine.bed.size_mm or (0.0, 0.0)
    return Rectangle(machine.bed.origin_mm, width, depth, **look)


def _colours(axes: Any, machine: Machine, known: Mapping[str, float], limit_mm: float, edge: Patch) -> None:
    """Colour the surface and draw its contour lines, both within the plate's edge."""
    xs, ys, values = surface.grid(machine, known)
    reach = DEEPEST * limit_mm
    shades = np.linspace(-reach, reach, SHADES)
    filled = axes.contourf(xs, ys, values, shades, cmap=_tones(), extend="both")
    filled.set_clip_path(edge)
    wanted = levels(float(values.min()), float(values.max()))
    if not wanted:
        return
    widths = [1.2 if level == 0.0 else 0.5 for level in wanted]
    lines = axes.contour(
        xs, ys, values, wanted, colors=_inks(wanted, limit_mm), linewidths=widths, linestyles="solid"
    )
    lines.set_clip_path(edge)
    axes.clabel(lines, fmt=signed_mm, fontsize=6)


def _inks(wanted: list[float], limit_mm: float) -> list[str]:
    """Return what each line is drawn with: light where the colour under it is deep."""
    return ["#fff" if abs(level) > limit_mm else "#444" for level in wanted]


def _tones() -> LinearSegmentedColormap:
    narrow, wide = ([c / 255 for c in tone] for tone in (NARROW, WIDE))
    return LinearSegmentedColormap.from_list("gaps", [narrow, (1.0, 1.0, 1.0), wide])


def _marks(axes: Any, machine: Machine, known: Mapping[str, float]) -> None:
    """Mark each point with its deviation, and each adjuster with a ring."""
    for adjuster in machine.adjuster:
        axes.plot(*adjuster.at_mm, marker="o", ms=9, mfc="none", mec="#222", mew=0.7)
    for nth, point in enumerate(machine.point):
        told = signed_mm(known[point.name]) if point.name in known else "not read"
        axes.plot(*point.at_mm, marker="+", ms=6, color="#000")
        axes.annotate(
            told,
            point.at_mm,
            (0, 5),
            textcoords="offset points",
            ha="center",
            weight="bold",
            gid=f"number-{nth}",
            bbox={"boxstyle": "square,pad=0.1", "fc": "#fffc", "ec": "none"},
        )


def _svg(figure: Figure, told: str) -> str:
    """Return the figure as one SVG element; its names are made its own, as a page has several."""
    out = io.StringIO()
    canvas: Any = FigureCanvasSVG(figure)
    canvas.print_svg(out, metadata=NOTHING_TOLD)
    text = out.getvalue()
    text = text[text.index("<svg") :]
    text = re.sub(r"\s*<metadata>.*?</metadata>", "", text, flags=re.DOTALL)
    mine = re.sub(r"\W+", "-", told)
    text = re.sub(r'(\bid="|href="#|url\(#)', rf"\1{mine}-", text)
    text = re.sub(r' (?:width|height)="[\d.]+pt"', "", text, count=2)
    text = text.replace(' xmlns:xlink="http://www.w3.org/1999/xlink"', "").replace("xlink:href", "href")
    return text.replace("<svg ", f'<svg role="img" aria-label="{escape(told)}" ', 1)
