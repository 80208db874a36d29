"""What a procedure can ask for, and what it can be answered. Frozen values that go into the journal.

Two kinds of request: those a person answers (they stand in `ByPerson`) and those the machine
answers (`ByMachine`). Each request's docstring names the answers it takes.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from profiles.grid import GridValue
from wizard.rounds import Reading
from wizard.since.change import Change
from wizard.solver.finding import Finding

Touch = Literal["free", "drag", "tight"]
Phase = Literal["first", "adjust", "verify"]
Topic = Literal[
    "cautions",  # the trade's usual ones: hot parts, moving axes, the maker's manual comes first
    "clean-tip",  # no plastic on the tip: it falsifies any touch
    "bed-clear",  # nothing on the plate, plate seated, same plate as for printing
    "snug-adjusters",  # all adjusters tightened first, so that nothing collides
    "hands-clear",  # before any motion
    "not-by-adjusters",  # what no adjuster can remove: told, with figure and remedies
    "verify-next",  # adjusting done; a pass in another order follows
    "nozzle-swap",  # before a recheck: what a changed nozzle needs, and how it burns
    "restart-machine",  # switched off and on by the person, so that it shows what it has kept
    "motors-next",  # the machine's own motors level the plate; why that beats compensation
    "gauge-next",  # what the machine's touch has told is checked by gauge at one point
    "restore-next",  # position unknown after a break: hands clear, then re-home and re-park
]

READ_AGAIN = "read it again"
AS_SUSPECTED = "it was so"
GO_ON = "go on"
GO_ON_ANYWAY = "go on anyway"
STOP_HERE = "stop here"
TOUCH_AGAIN = "touch again"
COMPENSATE = "compensate"
LEAVE_IT = "leave it"
REPEAT_READINGS = "repeat the readings"
SET_HEIGHT = "set the height"
LEVEL_NOW = "level"
CLOSE = "close"


class Request(msgspec.Struct, frozen=True, tag=True):
    """Base of all requests."""


class ByPerson(Request, frozen=True):
    """Base of the requests that a person answers."""


class ByMachine(Request, frozen=True):
    """Base of the requests that the machine carries out."""


class Confirm(ByPerson, frozen=True):
    """Something to read, do and confirm. Answer: Confirmed."""

    topic: Topic
    finding: Finding | None = None


class Choose(ByPerson, frozen=True):
    """A choice between named options. Answer: Chosen, with one of them.

    gauge: "leaf", "feel". suspicion: AS_SUSPECTED (only where a turn is suspected), READ_AGAIN, GO_ON.
    stuck: GO_ON_ANYWAY, REPEAT_READINGS, STOP_HERE. compensate: COMPENSATE, LEAVE_IT.
    """

    topic: Literal["gauge", "suspicion", "stuck", "compensate"]
    options: tuple[str, ...]
    finding: Finding | None = None


class LookForDaylight(ByPerson, frozen=True):
    """First time over a point, nozzle still high: does a thick card (about `thick_mm`) pass under it?

    Answer: Seen(clear) or Skipped.
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
    """The end of a procedure: what was reached. Answer: Confirmed."""

    finding: Finding
    rounds: int
    proven: bool


class ShowChange(ByPerson, frozen=True):
    """What a recheck has found. Answer: Chosen, one of `options`: SET_HEIGHT, LEVEL_NOW, CLOSE."""

    change: Change
    options: tuple[str, ...]

    @property
    def finding(self) -> Finding:
        """The gaps as they are known now."""
        return self.change.finding


class Connect(ByMachine, frozen=True):
    """Open the line and ask the machine who it is. Answer: Connected."""


class Warm(ByMachine, frozen=True):
    """Heat to the measuring temperatures and wait until they are reached. Answer: Done."""

    bed_c: float
    nozzle_c: float


class Soak(ByMachine, frozen=True):
    """Let the plate take its shape at temperature. Answer: Done (the person may cut it short)."""

    minutes: float


class Home(ByMachine, frozen=True):
    """Find the axes' origin. Answer: Done."""


class Park(ByMachine, frozen=True):
    """Lift to clearance, go over the point, come down to `z_mm` from above. Answer: Done."""

    point: str
    z_mm: float


class Lower(ByMachine, frozen=True):
    """Over the point where the nozzle stands: go to `z_mm`, always from above. Answer: Done."""

    point: str
    z_mm: float


class Lift(ByMachine, frozen=True):
    """Lift to clearance height. Answer: Done."""


class SetHeight(ByMachine, frozen=True):
    """Change the machine's stored nozzle height by `change_mm` (+ raises the nozzle). Answer: Done."""

    change_mm: float


class Store(ByMachine, frozen=True):
    """Have the machine keep its settings. Answer: Done."""


class ReadHeight(ByMachine, frozen=True):
    """Ask for the nozzle height that the machine keeps; another than `expect_mm` is a fault.

    Answer: HeightKept.
    """

    expect_mm: float | None = None


class Reconnect(ByMachine, frozen=True):
    """The machine was switched off and on, and is neither homed nor warm: greet it. Answer: Connected."""


class SetGrid(ByMachine, frozen=True):
    """Set the numbers of the software compensation. Answer: Done."""

    values: tuple[GridValue, ...]


class FollowGrid(ByMachine, frozen=True):
    """Switch the software compensation on, and read it back where that can be. Answer: Done."""

    values: tuple[GridValue, ...]


class TouchTest(ByMachine, frozen=True):
    """Touch one place `times` times, to see how well it repeats. Answer: Touched.

    point: None is the touch plate.
    """

    point: str | None
    times: int


class TouchPoint(ByMachine, frozen=True):
    """Touch a point `times` times, as a reading. Answer: Touched.

    offset_mm: what a gauge has found the gap to be beyond what a touch tells, u_mm: its standard
    uncertainty, that of the mean touch included.
    """

    point: str
    round: int
    nth: int
    total: int
    phase: Phase
    times: int
    offset_mm: float
    u_mm: float


class TouchGrid(ByMachine, frozen=True):
    """Touch each place of a grid once, for its numbers. Answer: Touched, in the order of the places."""

    places: tuple[GridValue, ...]


class MoveMotors(ByMachine, frozen=True):
    """Have the machine's motors move the plate, clockwise positive. Answer: Turned."""

    turns: dict[str, float]
    round: int
    finding: Finding


class CoolDown(ByMachine, frozen=True):
    """Heaters off. Answer: Done."""


class Answer(msgspec.Struct, frozen=True, tag=True):
    """Base of all answers."""


class Done(Answer, frozen=True):
    """The machine has done what was asked; `note` says what was out of the ordinary."""

    note: str = ""


class Connected(Answer, frozen=True):
    """Who the machine says it is. `simulated` is true where it says that it is a simulation."""

    line: str
    identity: dict[str, str] = {}
    simulated: bool = False


class Confirmed(Answer, frozen=True):
    """Read and done."""


class Chosen(Answer, frozen=True):
    """One of the options."""

    option: str


class Seen(Answer, frozen=True):
    """Whether the thick card passes."""

    clear: bool


class ReadingTaken(Answer, frozen=True):
    """A reading of the gap as the nozzle stood (at the request's `z_mm`)."""

    reading: Reading


class Felt(Answer, frozen=True):
    """How the card felt."""

    touch: Touch


class Turned(Answer, frozen=True):
    """The turns really made, clockwise positive."""

    turns: dict[str, float]


class HeightChanged(Answer, frozen=True):
    """How far the person raised (+) the nozzle."""

    change_mm: float


class HeightKept(Answer, frozen=True):
    """The nozzle height that the machine keeps; a larger number raises the nozzle."""

    offset_mm: float


class Touched(Answer, frozen=True):
    """Commanded Z of each contact."""

    z_mm: tuple[float, ...]


class Thickness(Answer, frozen=True):
    """The thickness of one sheet."""

    thick_mm: float


class Skipped(Answer, frozen=True):
    """Left out, and why."""

    reason: str


AnyRequest = (
    Confirm
    | Choose
    | LookForDaylight
    | TakeReading
    | Feel
    | Turn
    | TurnEndstop
    | AskSheet
    | ChangeHeightByMenu
    | MoveByHand
    | ShowResult
    | ShowChange
    | Connect
    | Warm
    | Soak
    | Home
    | Park
    | Lower
    | Lift
    | SetHeight
    | Store
    | ReadHeight
    | Reconnect
    | SetGrid
    | FollowGrid
    | EnterGrid
    | ShowTouches
    | TouchTest
    | TouchPoint
    | TouchGrid
    | MoveMotors
    | CoolDown
)
AnyAnswer = (
    Done
    | Connected
    | Confirmed
    | Chosen
    | Seen
    | ReadingTaken
    | Felt
    | Turned
    | HeightChanged
    | Thickness
    | HeightKept
    | Touched
    | Skipped
)


class Outcome(msgspec.Struct, frozen=True):
    """What a procedure returns: the last finding, how many rounds, whether a whole pass proved it."""

    finding: Finding | None
    rounds: int
    proven: bool
