"""What follows from a pass of readings: turn, read again, prove, ask, or end."""

from __future__ import annotations

from enum import Enum

from wizard.facts.changing import REALLY_TURNED
from wizard.procedures.feel import NEARLY_MM, can_narrow
from wizard.procedures.gain import is_worth_turning
from wizard.procedures.height import change_height, height_first, is_wanted
from wizard.procedures.job import Job, Steps
from wizard.procedures.moving import make_turns
from wizard.procedures.reading import can_tell_more, read_again
from wizard.procedures.safe_height import kept_free
from wizard.procedures.sheets import ask_sheet
from wizard.procedures.telling import Telling, story_of
from wizard.requests import (
    AS_SUSPECTED,
    GO_ON,
    GO_ON_ANYWAY,
    READ_AGAIN,
    REPEAT_READINGS,
    STOP_HERE,
    Choose,
    Chosen,
    Confirm,
    Home,
    Lift,
    Phase,
)
from wizard.solver import solve
from wizard.solver.finding import Finding, Suspicion

MOST_REPEATS = 2
"""How often points of one pass are read once more before the person is asked what to do."""


HARDLY = 0.5
"""Share of the tolerance that the plate's own form takes, from which on there is hardly any room."""

WIDE_MM = 0.035
"""A bracket of a leaf alone: wider than what two feels leave."""


class Next(Enum):
    """What follows a pass."""

    PROVEN = "proven"
    VERIFY = "verify"
    ADJUST = "adjust"
    END = "end"


class Pass:
    """One pass that has been read: its number, phase, and whether no point was left out.

    After the last pass of a job nothing is turned any more, since no reading would tell what came of it.
    telling: what reads the points that are still worth it, where not all were read at once.
    """

    def __init__(
        self,
        job: Job,
        number: int,
        phase: Phase,
        *,
        whole: bool,
        last: bool = False,
        telling: Telling | None = None,
    ) -> None:
        self.job = job
        self.number = number
        self.phase = phase
        self.whole = whole
        self.last = last
        self.finding = self._solved()
        self._repeats = 0
        self._told: set[Suspicion] = telling.told if telling else set()
        self._telling = telling

    def _solved(self) -> Finding:
        return kept_free(self.job.facts, solve(self.job.machine, self.job.facts.rounds))

    def judge(self) -> Steps[Next]:
        """Ask for what is missing until it is clear what follows; make the turns."""
        while True:
            if self._is_new_suspicion():
                follows = yield from self._ask_about()
                if follows is not None:
                    return follows
            elif self._telling is not None and self._telling.points():
                yield from self._telling.read()
                self.whole = self._telling.whole
                self._repeats = 0  # of points that have only now been read
            elif (unsure := self._unsure()) and self._repeats < MOST_REPEATS:
                yield from self._read_again(unsure)
            else:
                return (yield from self._follow())
            self.finding = self._solved()

    def _follow(self) -> Steps[Next]:
        """Do what the finding's status says."""
        if self.last:
            return Next.PROVEN if self._proves() else Next.END
        if self.finding.status == "level":
            return (yield from self._level())
        if self._is_to_turn():
            return (yield from self._turn())
        if self.finding.status == "measure-again" and self.phase != "verify":
            return Next.VERIFY
        return (yield from self._stuck())

    def _unsure(self) -> tuple[str, ...]:
        """Return the points to read once more: those that alone keep the verification undecided.

        Another look at them costs less than another turn and pass, as long as the gauge can tell more.
        Before the verification nothing is read twice, since that reads every point anyway.
        """
        finding = self.finding
        if self._hangs_on_form() and self._repeats == 0 and (wide := self._wide()):
            return wide
        if self.phase != "verify" or finding.verdict != "undecided":
            return ()
        tolerance_mm = self.job.machine.first_layer.tolerance_mm
        over = {name: abs(p.deviation_mm) + 2.0 * p.u_mm - tolerance_mm for name, p in finding.points.items()}
        if finding.status == "turn" and max(over.values(), default=0.0) > NEARLY_MM:
            return ()  # what a turn has to mend anyway
        unsure = [name for name, over_mm in over.items() if over_mm > 0.0]
        asked = [ask.point for ask in finding.ask] if finding.status == "measure-again" else []
        read = self.job.facts.rounds[-1].readings
        return tuple(
            n for n in dict.fromkeys([*unsure, *asked]) if n not in read or can_tell_more(self.job, read[n])
        )

    def _hangs_on_form(self) -> bool:
        """Tell whether the next turn has to be a good one: the last one, or with hardly any room left."""
        finding = self.finding
        if finding.status != "turn" or finding.coarse:
            return False
        room_mm = HARDLY * self.job.machine.first_layer.tolerance_mm
        return self.phase == "verify" or (finding.best_possible_mm or 0.0) > room_mm

    def _wide(self) -> tuple[str, ...]:
        """Return the points of this pass that were read by leaf alone: a card tells more of them."""
        if self.job.facts.gauge != "feel" or self.last:
            return ()
        read = self.job.facts.rounds[-1].readings
        return tuple(name for name, reading in read.items() if can_narrow(reading, WIDE_MM))

    def _proves(self) -> bool:
        """Tell whether this pass was a whole verification with every point within tolerance."""
        return self.finding.status == "level" and self.phase == "verify" and self.whole

    def _level(self) -> Steps[Next]:
        """Within at every point: proven if this was a whole verification pass, else that comes next."""
        if self._proves():
            return Next.PROVEN
        if self.phase == "verify":
            return (yield from self._stuck())
        yield from self.job.ask(Lift())
        yield from self.job.ask(Confirm("verify-next", self.finding))
        return Next.VERIFY

    def _turn(self) -> Steps[Next]:
        """Have the turns made and the height changed. A turn that is refused leaves a choice."""
        yield from self.job.ask(Lift())
        if (yield from ask_sheet(self.job, self.finding)):
            self.finding = self._solved()
        finding = self.finding
        to_make = finding.turns and not height_first(self.job, finding)
        if to_make and not (yield from make_turns(self.job, finding, self.number)):
            return (yield from self._stuck(may_turn=False))
        yield from change_height(self.job, finding)
        return Next.ADJUST if finding.coarse else Next.VERIFY

    def _stuck(self, *, may_turn: bool = True) -> Steps[Next]:
        """Show the finding and let the person choose how to go on."""
        finding = self.finding
        worth = is_worth_turning(finding, self.job.machine)
        can_turn = may_turn and worth and self._can_turn()
        options = (*((GO_ON_ANYWAY,) if can_turn else ()), REPEAT_READINGS, STOP_HERE)
        answer = yield from self.job.ask(Choose("stuck", options, finding))
        if answer == Chosen(GO_ON_ANYWAY):
            return (yield from self._turn())
        if answer == Chosen(REPEAT_READINGS):
            return self._pass_anew()
        return Next.END

    def _is_to_turn(self) -> bool:
        """Tell whether a change comes next: also one of the height alone that brings it into range."""
        if self.finding.status == "measure-again":
            return self.finding.coarse and is_wanted(self.finding)
        return self.finding.status == "turn" and self._can_turn()

    def _can_turn(self) -> bool:
        """Tell whether the finding names anything to be changed."""
        return bool(self.finding.turns) or is_wanted(self.finding)

    def _is_new_suspicion(self) -> bool:
        story = story_of(self.finding)
        return story is not None and story not in self._told

    def _ask_about(self) -> Steps[Next | None]:
        """Ask about the likeliest story; only the person's word changes what is taken as turned.

        A single reading is read again in this pass. Anything else is settled by a new pass; where the
        home position is in doubt it is found anew first, since no reading may mix two of them.
        """
        story = story_of(self.finding)
        assert story is not None
        self._told.add(story)
        doubts_a_turn = story.kind in REALLY_TURNED
        options = (*((AS_SUSPECTED,) if doubts_a_turn else ()), READ_AGAIN, GO_ON)
        answer = yield from self.job.ask(Choose("suspicion", options, self.finding))
        if answer != Chosen(READ_AGAIN):
            return None
        if story.point is not None:
            yield from self._read_again((story.point,))
            return None
        if story.kind == "home-shifted":
            yield from self.job.ask(Home())
        return self._pass_anew()

    def _pass_anew(self) -> Next:
        """Return what leads to another pass of the same kind."""
        return Next.VERIFY if self.phase == "verify" else Next.ADJUST

    def _read_again(self, names: tuple[str, ...]) -> Steps[None]:
        """Read points of this pass once more; one left out makes the pass incomplete."""
        self._repeats += 1
        self.whole &= yield from read_again(self.job, self.number, self.phase, names)
