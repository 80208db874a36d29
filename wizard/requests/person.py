"""What a person is asked. Each request's docstring names the answers it takes."""

from __future__ import annotations

from typing import Literal

from profiles.grid import GridValue
from wizard.requests.base import ByPerson, Phase, Topic
from wizard.requests.printing import Checks
from wizard.since.change import Change
from wizard.solver.finding import Finding


class Confirm(ByPerson, frozen=True):
    """Something to read, do and confirm. Answer: Confirmed."""

    topic: Topic
    finding: Finding | None = None


class Choose(ByPerson, frozen=True):
    """A choice between named options. Answer: Chosen, with one of them.

    gauge: "leaf", "feel". suspicion: AS_SUSPECTED (only where a turn is suspected), READ_AGAIN, GO_ON.
    stuck: GO_ON_ANYWAY, REPEAT_READINGS, STOP_HERE. compensate: COMPENSATE, LEAVE_IT.
    pads: CALIPER, MICROMETER, BY_LOOK.
    """

    topic: Literal["gauge", "suspicion", "stuck", "compensate", "pads"]
    options: tuple[str, ...]
    finding: Finding | None = None


class LookForDaylight(ByPerson, frozen=True):
    """First time over a point, nozzle still high: does a thick card (about `thick_mm`) pass under it?

    Answer: Seen(clear) or Skipped; Skipped(ONE_CARD) leaves out the look with two cards, and not the point.
    """

    point: str
    z_mm: float
    thick_mm: float
    round: int = 1


class TakeReading(ByPerson, frozen=True):
    """Nozzle parked over a point: thickest leaf that slides, thinnest that will not enter.

    The reading is of the gap at `z_mm` as commanded now. Answer: ReadingTaken or Skipped.
    """

    point: str
    z_mm: float
    round: int
    nth: int
    total: int
    phase: Phase
    start_leaf_mm: float | None = None


class Feel(ByPerson, frozen=True):
    """Nozzle parked over a point at `z_mm`: how does the single card feel? Answer: Felt or Skipped.

    low_mm, high_mm: what is known so far of the gap at the measuring height (None: open).
    """

    point: str
    z_mm: float
    card_mm: float
    round: int
    nth: int
    total: int
    phase: Phase
    low_mm: float | None = None
    high_mm: float | None = None


class Turn(ByPerson, frozen=True):
    """Turns to make, clockwise positive from the profile's side; the nozzle is lifted away.

    Answer: Turned (what was really turned) or Skipped.
    """

    turns: dict[str, float]
    round: int
    coarse: bool
    finding: Finding


class TurnEndstop(ByPerson, frozen=True):
    """The endstop screw, to change the nozzle height by about `change_mm`. Answer: Turned or Skipped.

    u_mm: standard uncertainty of that change; more than the change itself while the screw's direction is
    not known. The answer's `turns` has the single key "endstop screw".
    """

    turns: float
    change_mm: float
    finding: Finding
    u_mm: float = 0.0


class AskSheet(ByPerson, frozen=True):
    """How thick is one shim sheet? `usual_mm` is the profile's figure. Answer: Thickness."""

    usual_mm: float


class ChangeHeightByMenu(ByPerson, frozen=True):
    """The person changes the nozzle height in the machine's own menu. Answer: HeightChanged or Skipped."""

    change_mm: float
    finding: Finding


class EnterGrid(ByPerson, frozen=True):
    """Numbers of the software compensation that are typed into the machine's own menu. Answer: Confirmed."""

    values: tuple[GridValue, ...]


class ShowTouches(ByPerson, frozen=True):
    """How well touches repeat, where that is not good enough. Answer: Chosen, TOUCH_AGAIN or STOP_HERE.

    sd_mm: standard deviation under repeatability conditions (ISO 5725-2) of `times` touches.
    """

    sd_mm: float
    times: int
    limit_mm: float


class MoveByHand(ByPerson, frozen=True):
    """No line: the person does with the machine what a line would. Answer: Confirmed.

    what: home, lift, heat, cool, or park (over `point`, nozzle at `z_mm`), lower (to `z_mm`).
    """

    what: Literal["home", "park", "lower", "lift", "heat", "cool"]
    point: str | None = None
    z_mm: float | None = None
    bed_c: float | None = None
    nozzle_c: float | None = None


class ShowResult(ByPerson, frozen=True):
    """The end of a procedure: what was reached, and how it was checked.

    measured_only: a survey, in which nothing was to be changed.
    Answer: Confirmed, or where `can_print` Chosen(CHECK_PRINT).
    """

    finding: Finding
    rounds: int
    proven: bool
    checks: Checks = Checks()
    can_print: bool = False
    measured_only: bool = False


class ShowChange(ByPerson, frozen=True):
    """What a recheck has found. Answer: Chosen, one of `options`: SET_HEIGHT, LEVEL_NOW, CLOSE."""

    change: Change
    options: tuple[str, ...]

    @property
    def finding(self) -> Finding:
        """The gaps as they are known now."""
        return self.change.finding
