"""A pass that reads the points that tell something, one after the other, and no others.

Before a turn only what the solver asks for is read: the most telling point first, until the others are
foretold well enough. A verification reads every point, as long as it can still prove anything: once a
point is found outside, only what the next turn hangs on is read. Points that only prove are read in
a verification alone, and last, once all others are proven. Where the readings after a turn make it likely
that something went wrong the pass stops there, so that it is asked about at once.
"""

from __future__ import annotations

from wizard.procedures.approach import Visit
from wizard.procedures.doubts import Doubts
from wizard.procedures.job import Job, Steps
from wizard.procedures.reading import can_tell_more, points_to_read, read_point
from wizard.procedures.route import route
from wizard.requests import Phase
from wizard.rounds import Reading
from wizard.solver import solve
from wizard.solver.finding import Finding, PointFinding, Suspicion


def story_of(finding: Finding) -> Suspicion | None:
    """Return the suspicion without its odds, which change with every reading."""
    story = finding.suspicion
    return None if story is None else Suspicion(story.kind, 0.0, story.adjuster, story.point)


def _is_unproven(point: PointFinding, job: Job) -> bool:
    return abs(point.deviation_mm) + 2.0 * point.u_mm > job.machine.first_layer.tolerance_mm


class Telling:
    """One such pass. It can be taken on after an interruption.

    told: suspicions that the person has been asked about. left_out: points that the person left out.
    """

    def __init__(self, job: Job, number: int, phase: Phase) -> None:
        self.job, self.number, self.phase = job, number, phase
        self.told: set[Suspicion] = set()
        self.left_out: set[str] = set()
        self._doubts = Doubts(job.machine, job.facts.rounds)

    @property
    def whole(self) -> bool:
        """Whether every point was read in this pass that belongs to it."""
        return not self._unread() and not self.left_out

    def read(self) -> Steps[None]:
        """Read until nothing is left that would tell anything, or something is to be asked about."""
        while points := self.points():
            read = self._read()
            nth, doubt_mm = len(read) + 1, self._doubts.mm(points[0], read)
            total = nth + len(points) - 1 + self._kept_back(points)
            visit = Visit(points[0], self.number, nth, total, self.phase, doubt_mm)
            if not (yield from read_point(self.job, visit)):
                self.left_out.add(points[0])

    def points(self) -> list[str]:
        """Return the points that are to be read now, the next one first."""
        finding = solve(self.job.machine, self.job.facts.rounds)
        story, unread = story_of(finding), self._unread()
        if story is not None and story not in self.told and self._read():
            return []
        if self.phase == "verify" and not self._hopeless(finding):
            return self._first_those_to_level_by(unread, finding)
        return [ask.point for ask in finding.ask if ask.point in unread]

    def _first_those_to_level_by(self, unread: list[str], finding: Finding) -> list[str]:
        """Return the points to level by, else, where all these are within, those that only prove."""
        by = {point.name for point in self.job.machine.levelling_points}
        first = [name for name in unread if name in by]
        if first:
            return first
        open_yet = any(_is_unproven(p, self.job) for name, p in finding.points.items() if name in by)
        return [] if open_yet else unread

    def _kept_back(self, points: list[str]) -> int:
        """Return how many points that only prove come after these, as long as all are on the way."""
        by = {point.name for point in self.job.machine.levelling_points}
        later = set(self._unread()) - set(points)
        return 0 if later & by else len(later)

    def _hopeless(self, finding: Finding) -> bool:
        """Tell whether a turn is needed whatever the others are: a point that was read cannot be proven."""
        if finding.verdict == "outside":
            return True
        read = self._read().items()
        return finding.status == "turn" and any(
            _is_unproven(finding.points[name], self.job) and not can_tell_more(self.job, reading)
            for name, reading in read
            if name in finding.points
        )

    def _read(self) -> dict[str, Reading]:
        rounds = self.job.facts.rounds
        return rounds[-1].readings if self.number == len(rounds) else {}

    def _unread(self) -> list[str]:
        done = self._read().keys() | self.left_out
        way = route(points_to_read(self.job), self.number)
        return [p.name for p in way if p.name not in done and (self.phase == "verify" or p.only is None)]
