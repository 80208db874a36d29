"""What the machine is asked to do. Each request's docstring names the answers it takes."""

from __future__ import annotations

from profiles.grid import GridValue
from wizard.requests.base import ByMachine, Phase
from wizard.solver.finding import Finding


class Connect(ByMachine, frozen=True):
    """Open the line and ask the machine who it is. Answer: Connected."""


class Warm(ByMachine, frozen=True):
    """Heat to the measuring temperatures and wait until they are reached. Answer: Done."""

    bed_c: float
    nozzle_c: float


CUT_SHORT = "cut short"
"""How the note of an answer to Soak begins where the plate was not let rest to the end."""


RESTED = "the soak's time is up"
"""How the note of an answer to a move begins once a plate whose soak was cut short has rested after all."""


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


class LeaveGrid(ByMachine, frozen=True):
    """Switch the software compensation off, so that the bare plate is read. Answer: Done."""


class FollowAgain(ByMachine, frozen=True):
    """Switch a compensation on that is known to be right. Answer: Done.

    values: its numbers, set anew; none where the machine finds them by itself.
    """

    values: tuple[GridValue, ...]


class TouchTest(ByMachine, frozen=True):
    """Touch one place `times` times, to see how well it repeats. Answer: Touched.

    point: None is the touch plate.
    """

    point: str | None
    times: int


class TouchPoint(ByMachine, frozen=True):
    """Touch a point `times` times, as a reading. Answer: Touched.

    offset_mm: what a gauge has found the gap to be beyond what a touch tells; offset_u_mm: its standard
    uncertainty, which all points share. u_mm: that of the mean touch alone.
    """

    point: str
    round: int
    nth: int
    total: int
    phase: Phase
    times: int
    offset_mm: float
    u_mm: float
    offset_u_mm: float = 0.0


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
