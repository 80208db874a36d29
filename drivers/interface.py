"""What every way of driving a machine offers: by a line, by hand, simulated."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Literal, Protocol

import msgspec

from profiles.grid import GridValue
from profiles.machine import XY, Point

if TYPE_CHECKING:
    from drivers.commands import Command


class Identity(msgspec.Struct, frozen=True):
    """Who answered: the line's name and what the machine says of itself; `note` is of the line."""

    line: str
    facts: dict[str, str] = {}
    simulated: bool = False
    note: str = ""


class Temperatures(msgspec.Struct, frozen=True):
    """Measured and wanted temperatures, degrees Celsius; None where the machine has not told."""

    bed_c: float | None = None
    bed_target_c: float | None = None
    nozzle_c: float | None = None
    nozzle_target_c: float | None = None


Link = Literal["closed", "open", "lost"]
Stopped = Literal["", "written", "confirmed", "not written"]


class Status(msgspec.Struct, frozen=True):
    """A snapshot for the screen. `position_mm` is None where the position is not known.

    trouble: what went wrong unasked (the machine restarted, the line is gone), as a sentence; "" while
    all is well. The next call that needs the machine raises it.
    stopped: whether a stop block was written, and whether the machine showed that it obeyed.
    """

    position_mm: tuple[float, float, float] | None = None
    moving: bool = False
    temperatures: Temperatures = Temperatures()
    resends: int = 0
    sent: int = 0
    link: Link = "closed"
    trouble: str = ""
    stopped: Stopped = ""


class LineRecord(msgspec.Struct, frozen=True):
    """One line that went out (">") or came in ("<"), literally, for the log."""

    direction: str
    text: str


class OwnWords(Protocol):
    """What only some machines do, by the templates of their profiles. Raises as `Printer` does."""

    async def kept_height_mm(self) -> float:
        """Return the nozzle height that the machine keeps, mm."""

    async def touch(self, at_mm: XY, times: int) -> tuple[float, ...]:
        """Touch the plate at a place; return the commanded Z of each contact, mm."""

    async def set_grid(self, values: Sequence[GridValue]) -> None:
        """Set all numbers of the software compensation."""

    async def follow_grid(self) -> None:
        """Have the machine follow its grid from now on."""

    async def leave_grid(self) -> None:
        """Have the machine follow no grid."""

    async def check_grid(self, values: Sequence[GridValue]) -> None:
        """Read the grid back where the machine can tell it; another one is a fault."""

    async def move_motors(self, turns: Mapping[str, float]) -> None:
        """Move the plate's motors, clockwise positive, with the nozzle lifted."""


class Progress(msgspec.Struct, frozen=True):
    """How far a layer has come. left_s: by the plan's times and by how fast it went so far."""

    done: int
    total: int
    left_s: float


class Watcher(Protocol):
    """Who looks on while a layer is laid down, and may hold it."""

    def told(self, progress: Progress) -> None:
        """Be told how far it is."""

    @property
    def held(self) -> bool:
        """Whether it is to be held now."""

    async def released(self) -> None:
        """Return once it may go on."""


class Lays(Protocol):
    """What lays a first layer down. Raises as `Printer` does."""

    async def run(self, blocks: Sequence[Command], nozzle_c: float, watcher: Watcher) -> None:
        """Lay it down: blocks from clearance height back to it, for a filament of that temperature."""


class Printer(Protocol):
    """A machine that can be asked to move and heat. All rules of the safety envelope hold behind it.

    Every coroutine raises `drivers.errors.MoveRefused` (ours: the move is not allowed, with the
    reason), `PrinterFault` (the machine's) or `LinkLost` / `NoReply` (the line's).
    """

    @property
    def status(self) -> Status:
        """What is known now."""

    def watch(self, on_status: Callable[[Status], None], on_line: Callable[[LineRecord], None]) -> None:
        """Be told of every change of status and of every line exchanged."""

    async def connect(self) -> Identity:
        """Open the line, wait for the machine to be ready, ask who it is. Nothing moves."""

    async def warm(self, bed_c: float, nozzle_c: float) -> None:
        """Set both targets and wait until they are reached. 0 is off and is not waited for."""

    async def home(self) -> None:
        """Home all axes, then lift to clearance."""

    async def park(self, point: Point, z_mm: float) -> None:
        """Lift to clearance, go over `point`, come down to `z_mm` from above."""

    async def lower(self, z_mm: float) -> None:
        """Over the present point go to `z_mm`, approached from above."""

    async def lift(self) -> None:
        """Lift to clearance height."""

    async def set_height(self, change_mm: float) -> None:
        """Change the stored nozzle height (+ raises the nozzle) by the profile's template."""

    async def store(self) -> None:
        """Have the machine keep its settings, by the profile's template."""

    def own_words(self) -> OwnWords:
        """What this machine does by its own words. Raises MoveRefused where there is no line."""

    def laying(self) -> Lays:
        """What lays a first layer down. Raises MoveRefused where there is no line."""

    async def cool(self) -> None:
        """Heaters off."""

    def stop(self) -> None:
        """Tell the machine to stop, at once, past any queue. Never waits, never raises."""

    async def make_safe(self, *, keep_hot: bool = False) -> None:
        """After an abort or fault: lift if the position is known; heaters off, or left on. Never raises."""

    async def come_back(self) -> None:
        """After `LinkLost`: return once the same device is there again. May wait for ever."""

    async def close(self) -> None:
        """Let go of the line."""


def nobody(_: object) -> None:
    """Nobody listens."""
