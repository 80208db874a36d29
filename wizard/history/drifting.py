"""Drift in words, figures and a chart of characters. Pure."""

from __future__ import annotations

from typing import Any

from wizard.drift import LEAST_RUNS, Course, Due
from wizard.instructions.figures import counted
from wizard.instructions.fitting import short

WIDTH = 41
NAME_WIDTH = 24


def due_sentence(due: Due, days_since: float = 0.0) -> str:
    """Return when a recheck is due; `days_since` is how long ago the last run was."""
    if due.kind == "too few":
        rechecks = counted(LEAST_RUNS - 1, "recheck")
        return f"Drift cannot be told yet: it takes a levelling and {rechecks} after it."
    if due.kind == "steady" or due.days is None:
        return "Nothing drifts for sure: recheck after a nozzle swap, or when a first layer looks wrong."
    left = due.days - days_since
    what = f"{_drifts(due)} in 30 days"
    if left < 1.0:
        return f"Recheck now: {what}, and is likely out of tolerance."
    return f"Likely out of tolerance in about {counted(round(left), 'day')}: {what}."


def _drifts(due: Due) -> str:
    """Return what drifts, and by how much in 30 days."""
    name, mm = short(due.place, NAME_WIDTH), 30.0 * due.rate
    if due.of == "support":
        return f"the support {name} {'sinks' if mm > 0 else 'rises'} by {abs(mm):.3f} mm"
    return f"{name} drifts by {mm:+.3f} mm"


def chart(course: Course) -> list[str]:
    """Return the course as lines: rate, limits, and a mark a run; * is beyond the limits, ! a jump to it."""
    limits = course.chart
    low = min(*course.moved, limits.lower)
    high = max(*course.moved, limits.upper)
    sinks = " sunk (-: risen)" if course.kind == "support" else ""
    head = (
        f"{short(course.place, NAME_WIDTH)}{sinks}: {30.0 * course.rate:+.3f} mm in 30 days, "
        f"U={30.0 * course.coverage * course.u:.3f} mm; {'drifts' if course.is_sure else 'no sure drift'}"
    )
    scale = f"  {'day':>6}  {'mm':>6}  {low:+.3f}{high:>+{WIDTH - 6}.3f}"
    return [head, scale, *(_row(course, n, low, high) for n in range(len(course.moved)))]


def _row(course: Course, nth: int, low: float, high: float) -> str:
    limits = course.chart
    line = [" "] * WIDTH
    for value, mark in ((limits.lower, "|"), (limits.mean, ":"), (limits.upper, "|")):
        line[_column(value, low, high)] = mark
    line[_column(course.moved[nth], low, high)] = "*" if nth in limits.out else "o"
    jump = " !" if nth in limits.jumps else ""
    return f"  {course.days[nth]:>6.1f}  {course.moved[nth]:>+6.3f}  {''.join(line)}{jump}".rstrip()


def _column(value: float, low: float, high: float) -> int:
    return round((value - low) / (high - low or 1.0) * (WIDTH - 1))


def drift_object(courses: list[Course], due: Due) -> dict[str, Any]:
    """Return drift as JSON's own types."""
    return {
        "format": "tramwright-drift/1",
        "due": due._asdict(),
        "courses": [
            {
                "place": c.place,
                "kind": c.kind,
                "days": c.days,
                "moved_mm": c.moved,
                "mm_per_day": c.rate,
                "u": c.u,
                "coverage_factor": c.coverage,
                "drifts": c.is_sure,
                "chart": c.chart._asdict(),
            }
            for c in courses
        ],
    }
