"""Two runs side by side: what differs from the earlier to the later. Pure."""

from __future__ import annotations

from typing import Any

from wizard.history.listing import result, when
from wizard.history.one import nozzle_words
from wizard.instructions import mm, signed_mm
from wizard.instructions.fitting import short
from wizard.records.run import Whole

NAME_WIDTH = 24


def in_order(one: Whole, other: Whole) -> tuple[Whole, Whole]:
    """Return the two runs, the earlier first."""
    return (one, other) if one.run.created <= other.run.created else (other, one)


def moves(one: Whole, other: Whole) -> dict[str, tuple[float, float, float]]:
    """Return for each point that both know: gap before, gap after, standard uncertainty of the change, mm."""
    before = one.finding.points if one.finding else {}
    after = other.finding.points if other.finding else {}
    return {
        name: (p.gap_mm, after[name].gap_mm, float((p.u_mm**2 + after[name].u_mm ** 2) ** 0.5))
        for name, p in before.items()
        if name in after
    }


def text(one: Whole, other: Whole) -> list[str]:
    """Return the comparison as lines."""
    early, late = in_order(one, other)
    lines = [_side("earlier", early), _side("later", late)]
    if early.header.profile != late.header.profile:
        lines.append("The machine's description is not the same in both.")
    both = moves(early, late)
    if not both:
        return [*lines, "No point is known from both."]
    head = f"{'point':<{NAME_WIDTH}} {'before':>7} {'after':>7} {'change':>7} {'U':>6}  mm"
    return [*lines, head, *(_row(name, *row) for name, row in both.items())]


def _side(word: str, whole: Whole) -> str:
    run, nozzle = whole.run, nozzle_words(whole)
    told = f", nozzle {nozzle}" if nozzle else ""
    return f"{word + ':':<9}{run.id}  {when(run.created)} UTC  {run.machine}  {result(run)}{told}"


def _row(name: str, before_mm: float, after_mm: float, u_mm: float) -> str:
    change_mm = after_mm - before_mm
    sure = "changed" if abs(change_mm) > 2.0 * u_mm else "may be the same"
    return (
        f"{short(name, NAME_WIDTH):<{NAME_WIDTH}} {mm(before_mm):>7} {mm(after_mm):>7} "
        f"{signed_mm(change_mm):>7} {mm(2.0 * u_mm):>6}  {sure}"
    )


def comparison_object(one: Whole, other: Whole) -> dict[str, Any]:
    """Return the comparison as JSON's own types."""
    early, late = in_order(one, other)
    return {
        "format": "tramwright-comparison/1",
        "earlier": early.run.id,
        "later": late.run.id,
        "same_profile": early.header.profile == late.header.profile,
        "points": {
            name: {"before_mm": before, "after_mm": after, "change_mm": after - before, "u_mm": u}
            for name, (before, after, u) in moves(early, late).items()
        },
    }
