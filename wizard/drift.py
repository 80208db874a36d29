"""The course of a machine over its runs: what drifts, how fast, and when a recheck is due. Pure.

What is followed is how a recheck found the gaps against how the run before had left them: the height
common to all, and what each support has moved against the others (where the points cannot tell the
supports apart: each point against the height). A levelling begins by tightening all adjusters, so that
it finds nothing; the course goes on from how it left them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Literal, NamedTuple

from wizard.drift_chart import Individuals, individuals

LEAST_RUNS = 3
"""From so many on a rate has an uncertainty; fewer tell nothing."""

WALK = math.sqrt(6.0 / 5.0)
"""A line fitted through a long random walk has 6/5 of the variance of the walk's own mean rate."""

HEIGHT = "nozzle height"
Kind = Literal["height", "support", "point"]
SOONEST_DAYS = 1.0
LATEST_DAYS = 365.0

T95 = (12.71, 4.30, 3.18, 2.78, 2.57, 2.45, 2.36, 2.31, 2.26, 2.23)
"""Student's t, two-sided 95 %, for 1 to 10 degrees of freedom (JCGM 100, table G.2)."""


class Supports(NamedTuple):
    """How supports and gaps hang together, found by `wizard.records.supports`.

    sunk: by support, what each point's change of gap counts for its sinking against the others; `height`:
    the same for the height. opens: by support, how far each point's gap opens where it sinks by 1 mm.
    """

    height: dict[str, float]
    sunk: dict[str, dict[str, float]]
    opens: dict[str, dict[str, float]]


class Visit(NamedTuple):
    """One run as drift sees it: when (days), gaps as found and as left by point, mm.

    found is None where a run began by changing everything, left where it did not come to its end.
    nozzle: what the person called it; another name than before says that a changed height is no drift.
    """

    day: float
    found: dict[str, float] | None
    left: dict[str, float] | None
    nozzle: str = ""


class Span(NamedTuple):
    """The time between a run and the recheck after it: its days, and what moved by place meanwhile, mm."""

    days: float
    moved: dict[str, float]


class Course(NamedTuple):
    """One place over the runs.

    days, moved: when, and how far the gap has moved by then (a support: how far it has sunk), all settings
    taken out, mm. rate, u: mm a day and its standard uncertainty; coverage: Student's factor for 95 %.
    chart: of the moves. kind: what the place is.
    """

    place: str
    days: tuple[float, ...]
    moved: tuple[float, ...]
    rate: float
    u: float
    coverage: float
    chart: Individuals
    kind: Kind = "point"

    @property
    def is_sure(self) -> bool:
        """Whether the rate differs from none."""
        return abs(self.rate) > self.coverage * self.u


class Due(NamedTuple):
    """When a recheck is due, counted in days from the last run, and because of which place.

    kind: too few runs, steady (nothing sure drifts; then `days` is none), or drifts.
    """

    kind: Literal["too few", "steady", "drifts"]
    days: float | None = None
    place: str = ""
    rate: float = 0.0
    u: float = 0.0
    of: Kind = "point"


def spans(visits: Sequence[Visit], supports: Supports | None = None) -> list[Span]:
    """Return every time between two runs of which it is known what moved, in order."""
    known = []
    for before, after in pairwise(visits):
        if before.left is not None and after.found is not None and after.day > before.day:
            moved = _moved(before.left, after.found, supports)
            if before.nozzle and after.nozzle and before.nozzle != after.nozzle:
                moved.pop(HEIGHT, None)
            known.append(Span(after.day - before.day, moved))
    return known


def _moved(left: dict[str, float], found: dict[str, float], supports: Supports | None) -> dict[str, float]:
    """Return how far the whole plate's gap has changed, and each support, or each point, against it."""
    each = {name: found[name] - left[name] for name in left if name in found}
    if not each:
        return {}
    if supports is not None and supports.height.keys() <= each.keys():
        weights = {HEIGHT: supports.height, **supports.sunk}
        return {name: sum(w * each[point] for point, w in of.items()) for name, of in weights.items()}
    height = sum(each.values()) / len(each)
    return {HEIGHT: height, **{name: move - height for name, move in each.items()}}


def courses(visits: Sequence[Visit], supports: Supports | None = None) -> list[Course]:
    """Return the course of every place that has been followed over LEAST_RUNS runs."""
    known = spans(visits, supports)
    places = dict.fromkeys(place for span in known for place in span.moved)
    kind: Kind = "point" if supports is None else "support"
    each = (_course(place, [span for span in known if place in span.moved], kind) for place in places)
    return [course for course in each if course is not None]


def _course(place: str, known: list[Span], kind: Kind) -> Course | None:
    """Add up what happened in the times between the runs, then fit a line through it."""
    if len(known) < LEAST_RUNS - 1:
        return None
    days, moved = [0.0], [0.0]
    for span in known:
        days.append(days[-1] + span.days)
        moved.append(moved[-1] + span.moved[place])
    rate, u, coverage = fitted_rate(days, moved)
    u = max(u, _walk_u(known, place, rate))
    kind = "height" if place == HEIGHT else kind
    return Course(place, tuple(days), tuple(moved), rate, u, coverage, individuals(moved), kind)


def _walk_u(known: list[Span], place: str, rate: float) -> float:
    """Return the rate's standard uncertainty where each span adds an error of its own to the course.

    So it is with rechecks, each of which is compared with another run: the course is a random walk, about
    which a straight line looks surer than it is.
    """
    left = sum((span.moved[place] - rate * span.days) ** 2 for span in known)
    return WALK * math.sqrt(left / (len(known) - 1) / sum(span.days**2 for span in known))


def fitted_rate(days: Sequence[float], values: Sequence[float]) -> tuple[float, float, float]:
    """Return slope, its standard uncertainty and Student's factor of the line through the values.

    Ordinary least squares (JCGM 100, H.3). Raises ValueError where all days are the same.
    """
    count = len(days)
    day, value = sum(days) / count, sum(values) / count
    square = sum((d - day) ** 2 for d in days)
    if square <= 0.0:
        raise ValueError("a rate takes two different days")
    slope = sum((d - day) * (v - value) for d, v in zip(days, values, strict=True)) / square
    left = sum((v - value - slope * (d - day)) ** 2 for d, v in zip(days, values, strict=True))
    free = count - 2
    u = math.sqrt(left / free / square) if free > 0 else math.inf
    return slope, u, T95[min(max(free, 1), len(T95)) - 1]


def due(
    visits: Sequence[Visit], tolerance_mm: float, target_mm: float, supports: Supports | None = None
) -> Due:
    """Return when the first gap is likely to be beyond tolerance, by rates that are sure."""
    left = visits[-1].left if visits else None
    followed = courses(visits, supports)
    if not followed or not left:
        return Due("too few")
    sure = [course for course in followed if course.is_sure]
    if not sure:
        return Due("steady")
    off = {name: gap - target_mm for name, gap in left.items()}
    days = {c.place: _days_left(c, off, tolerance_mm, supports) for c in sure}
    first = min(sure, key=lambda c: days[c.place])
    return Due("drifts", days[first.place], first.place, first.rate, first.u, first.kind)


def _days_left(
    course: Course, off: dict[str, float], tolerance_mm: float, supports: Supports | None
) -> float:
    """Return the days until the first gap that the place carries along passes the tolerance."""
    rates = {name: course.rate * share for name, share in _carried(course, off, supports).items() if share}
    rooms = [
        (tolerance_mm - off.get(name, 0.0) * math.copysign(1.0, rate)) / abs(rate)
        for name, rate in rates.items()
    ]
    return min(max(min(rooms), SOONEST_DAYS), LATEST_DAYS)


def _carried(course: Course, off: dict[str, float], supports: Supports | None) -> dict[str, float]:
    """Return how far each point's gap opens where the course goes on by 1 mm."""
    if course.kind == "height":
        return dict.fromkeys(off, 1.0)
    if course.kind == "support" and supports is not None:
        return supports.opens[course.place]
    return {course.place: 1.0}
