"""The bed from above as plain SVG: colours and contour lines of the deviation, a number at each point.

Told without colour too: every point carries its deviation with its sign, every line its level.
"""

from __future__ import annotations

from collections.abc import Mapping
from html import escape

from profiles.machine import XY, Machine
from wizard.instructions import signed_mm
from wizard.report import surface

WIDTH = 320.0
MARGIN = 14.0
NARROW = (178, 88, 24)
WIDE = (46, 100, 158)
LEVELS_MM = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5)
MOST_LINES = 9
NEAR_EDGE = 16.0
LABEL_ROOM = 40.0


class Sheet:
    """From machine coordinates to the picture's: x to the right, the front at the bottom."""

    def __init__(self, machine: Machine) -> None:
        self.low, self.high = surface.corners(machine)
        across, deep = self.high[0] - self.low[0], self.high[1] - self.low[1]
        self.scale = (WIDTH - 2 * MARGIN) / max(across, deep, 1.0)
        self.width = across * self.scale + 2 * MARGIN
        self.height = deep * self.scale + 2 * MARGIN + 12

    def at(self, place: XY) -> XY:
        """Return the picture's coordinates."""
        x = MARGIN + (place[0] - self.low[0]) * self.scale
        return x, MARGIN + (self.high[1] - place[1]) * self.scale


def picture(machine: Machine, deviations: Mapping[str, float], limit_mm: float, told: str) -> str:
    """Return the SVG. deviations: by point, mm; limit_mm: the tolerance, which the colours are scaled to."""
    sheet = Sheet(machine)
    known = {name: value for name, value in deviations.items() if name in {p.name for p in machine.point}}
    clip = f"plate-{escape(told).replace(' ', '-')}"
    parts = [
        *_colours(machine, sheet, known, limit_mm, clip),
        _edge(machine, sheet),
        *_marks(machine, sheet, known),
    ]
    return (
        f'<svg class="plain" viewBox="0 0 {sheet.width:.0f} {sheet.height:.0f}" role="img" '
        f'aria-label="{escape(told)}" xmlns="http://www.w3.org/2000/svg">{"".join(parts)}</svg>'
    )


def _colours(
    machine: Machine, sheet: Sheet, known: Mapping[str, float], limit_mm: float, clip: str
) -> list[str]:
    """Return the coloured cells, clipped to the plate, and the contour lines with their levels."""
    if len(known) < 3:
        return []
    xs, ys, values = surface.grid(machine, known)
    step_x, step_y = (xs[1] - xs[0]) * sheet.scale, (ys[1] - ys[0]) * sheet.scale
    parts = []
    for j in range(len(ys) - 1):
        for i in range(len(xs) - 1):
            x, y = sheet.at((float(xs[i]), float(ys[j + 1])))
            tone = _tone(float(values[j : j + 2, i : i + 2].mean()) / max(limit_mm, 1e-6))
            parts.append(
                f'<rect x="{x:.1f}" y="{y:.1f}" width="{step_x + 0.3:.1f}" height="{step_y + 0.3:.1f}" '
                f'fill="{tone}"/>'
            )
    wanted = levels(float(values.min()), float(values.max()))
    lines = [_line(sheet, surface.contour(xs, ys, values, level), level) for level in wanted]
    cells = f'<g shape-rendering="crispEdges">{"".join(parts)}</g>'
    return [f'<g clip-path="url(#{clip})">{cells}{"".join(lines)}</g>', _clip(machine, sheet, clip)]


def _tone(share: float) -> str:
    """Return white at none, the full colour at the tolerance and beyond."""
    full = WIDE if share > 0 else NARROW
    part = min(abs(share), 1.0) * 0.85
    return "#" + "".join(f"{round(255 + (c - 255) * part):02x}" for c in full)


def levels(low: float, high: float) -> list[float]:
    """Return the levels to draw: the finest step that gives few enough lines."""
    for step in LEVELS_MM:
        first, last = int(low // step) + 1, int(high // step)
        if last - first < MOST_LINES:
            return [round(n * step, 4) for n in range(first, last + 1)]
    return []


def _line(sheet: Sheet, pieces: list[surface.Segment], level: float) -> str:
    if not pieces:
        return ""
    ends = [(sheet.at(a), sheet.at(b)) for a, b in pieces]
    path = "".join(f"M{a[0]:.1f} {a[1]:.1f}L{b[0]:.1f} {b[1]:.1f}" for a, b in ends)
    width = 1.2 if level == 0.0 else 0.5
    x, y = max((end for end, _ in ends), key=lambda at: _inside(sheet, at))
    if _inside(sheet, (x, y)) < NEAR_EDGE:
        return f'<path d="{path}" stroke="#444" stroke-width="{width}" fill="none"/>'
    return (
        f'<path d="{path}" stroke="#444" stroke-width="{width}" fill="none"/>'
        f'<text x="{x:.1f}" y="{y:.1f}" class="level">{signed_mm(level)}</text>'
    )


def _inside(sheet: Sheet, at: XY) -> float:
    """Return how far inside the picture a place is: a label there is seen whole."""
    (x0, y0), (x1, y1) = sheet.at(sheet.low), sheet.at(sheet.high)
    return min(at[0] - x0, x1 - at[0], y0 - at[1], at[1] - y1, LABEL_ROOM)


def _outline(machine: Machine, sheet: Sheet) -> str:
    if machine.bed.shape == "round":
        x, y = sheet.at(machine.bed.origin_mm)
        return (
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{(machine.bed.diameter_mm or 0.0) / 2 * sheet.scale:.1f}"'
        )
    (x0, y0), (x1, y1) = sheet.at(sheet.low), sheet.at(sheet.high)
    return f'<rect x="{x0:.1f}" y="{y1:.1f}" width="{x1 - x0:.1f}" height="{y0 - y1:.1f}"'


def _clip(machine: Machine, sheet: Sheet, clip: str) -> str:
    return f'<clipPath id="{clip}">{_outline(machine, sheet)}/></clipPath>'


def _edge(machine: Machine, sheet: Sheet) -> str:
    front = f'<text x="{sheet.width / 2:.0f}" y="{sheet.height - 3:.0f}" class="side">front</text>'
    return f'{_outline(machine, sheet)} fill="none" stroke="#222"/>{front}'


def _marks(machine: Machine, sheet: Sheet, known: Mapping[str, float]) -> list[str]:
    """Return a cross at each point with its deviation, and a ring at each adjuster."""
    parts = []
    for adjuster in machine.adjuster:
        x, y = sheet.at(adjuster.at_mm)
        parts.append(
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="6" fill="none" stroke="#222" stroke-width="0.7"/>'
        )
    for point in machine.point:
        x, y = sheet.at(point.at_mm)
        parts.append(f'<path d="M{x - 3:.1f} {y:.1f}h6M{x:.1f} {y - 3:.1f}v6" stroke="#000"/>')
        told = signed_mm(known[point.name]) if point.name in known else "not read"
        parts.append(f'<text x="{x:.1f}" y="{y - 9 if y > 30 else y + 18:.1f}" class="number">{told}</text>')
    return parts
