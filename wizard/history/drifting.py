"""Drift in words, figures and a chart of characters. Pure."""

from __future__ import annotations

from typing import Any, NamedTuple

from wizard.drift import LEAST_RUNS, Course, Due
from wizard.instructions.figures import counted
from wizard.instructions.fitting import short

WIDTH, LEAST_WIDTH, MOST_WIDTH = 41, 24, 81
"""Columns of the chart itself; beside it stand day and mm."""
BESIDE = 18
NAME_WIDTH = 24
LEGEND = "Each line is a run: o where the place stands, : the mean, | the limits, * beyond, ! after a jump."


def due_sentence(due: Due, days_since: float = 0.0, runs: int | None = None) -> str:
    """Return when a recheck is due; `days_since` is how long ago the last run was.

    runs: how many there are of the machine; said where they are too few.
    """
    if due.kind == "too few":
        rechecks = counted(LEAST_RUNS - 1, "recheck")
        so_far = f" ({counted(runs, 'run')} so far)" if runs else ""
        return f"Drift cannot be told yet: it takes a levelling and {rechecks} after it{so_far}."
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


def chart(course: Course, columns: int | None = None) -> list[str]:
    """Return the course as lines: rate, limits, and a mark a run; * is beyond the limits, ! a jump to it.

    columns: the room of a line.
    """
    limits = course.chart
    width = WIDTH if columns is None else min(max(columns - BESIDE - 3, LEAST_WIDTH), MOST_WIDTH)
    scale = _Scale(min(*course.moved, limits.lower), max(*course.moved, limits.upper), width)
    head = (
        f"{_called(course)}: {'drifts' if course.is_sure else 'no sure drift'}, "
        f"{30.0 * course.rate:+.3f} mm in 30 days, U={30.0 * course.coverage * course.u:.3f} mm"
    )
    ends = f"{scale.low:+.3f}{scale.high:>+{width - 6}.3f}"
    return [
        head,
        f"  {'day':>6}  {'mm':>6}  {ends}",
        *(_row(course, n, scale) for n in range(len(course.moved))),
    ]


def _called(course: Course) -> str:
    """Return what is followed, and what its sign means."""
    name = short(course.place, NAME_WIDTH)
    if course.kind == "height":
        return f"{name.capitalize()} (+ is a wider gap)"
    return f"Support {name} (+ is sunk)" if course.kind == "support" else f"Point {name} (+ is a wider gap)"


class _Scale(NamedTuple):
    """From mm to columns."""

    low: float
    high: float
    width: int

    def column(self, value: float) -> int:
        """Return the column of a value."""
        return round((value - self.low) / (self.high - self.low or 1.0) * (self.width - 1))


def _row(course: Course, nth: int, scale: _Scale) -> str:
    limits = course.chart
    line = [" "] * scale.width
    for value, mark in ((limits.lower, "|"), (limits.mean, ":"), (limits.upper, "|")):
        line[scale.column(value)] = mark
    line[scale.column(course.moved[nth])] = "*" if nth in limits.out else "o"
    jump = " !" if nth in limits.jumps else ""
    return f"  {course.days[nth]:>6.1f}  {course.moved[nth]:>+6.3f}  {''.join(line)}{jump}".rstrip()


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
