"""What a procedure can ask for, and what it can be answered. Frozen values that go into the journal.

Two kinds of request: those a person answers (they stand in `ByPerson`) and those the machine
answers (`ByMachine`).
"""

from __future__ import annotations

import msgspec

from wizard.requests.answers import (
    Answer,
    Chosen,
    Confirmed,
    Connected,
    Done,
    Felt,
    HeightChanged,
    HeightKept,
    ReadingTaken,
    Seen,
    Skipped,
    Thickness,
    Touched,
    Turned,
)
from wizard.requests.base import (
    AS_SUSPECTED,
    CLOSE,
    COMPENSATE,
    GO_ON,
    GO_ON_ANYWAY,
    LEAVE_IT,
    LEVEL_NOW,
    READ_AGAIN,
    REPEAT_READINGS,
    SET_HEIGHT,
    STOP_HERE,
    TOUCH_AGAIN,
    ByMachine,
    ByPerson,
    Phase,
    Request,
    Topic,
    Touch,
)
from wizard.requests.machine import (
    CUT_SHORT,
    Connect,
    CoolDown,
    FollowAgain,
    FollowGrid,
    Home,
    LeaveGrid,
    Lift,
    Lower,
    MoveMotors,
    Park,
    ReadHeight,
    Reconnect,
    SetGrid,
    SetHeight,
    Soak,
    Store,
    TouchGrid,
    TouchPoint,
    TouchTest,
    Warm,
)
from wizard.requests.person import (
    AskSheet,
    ChangeHeightByMenu,
    Choose,
    Confirm,
    EnterGrid,
    Feel,
    LookForDaylight,
    MoveByHand,
    ShowChange,
    ShowResult,
    ShowTouches,
    TakeReading,
    Turn,
    TurnEndstop,
)
from wizard.requests.printing import (
    BY_LOOK,
    CALIPER,
    CHECK_PRINT,
    CORRECT,
    MICROMETER,
    PRINT_AGAIN,
    AskFilament,
    Checks,
    Filament,
    JudgePad,
    Look,
    PadMeasured,
    PadSeen,
    PrintLayer,
    ShowPrint,
    Tool,
)
from wizard.solver.finding import Finding

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
    | FollowAgain
    | LeaveGrid
    | EnterGrid
    | ShowTouches
    | TouchTest
    | TouchPoint
    | TouchGrid
    | MoveMotors
    | CoolDown
    | AskFilament
    | JudgePad
    | ShowPrint
    | PrintLayer
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
    | Filament
    | PadMeasured
    | PadSeen
    | Skipped
)


class Outcome(msgspec.Struct, frozen=True):
    """What a procedure returns: the last finding, how many rounds, whether a whole pass proved it."""

    finding: Finding | None
    rounds: int
    proven: bool


__all__ = [
    "AS_SUSPECTED",
    "BY_LOOK",
    "CALIPER",
    "CHECK_PRINT",
    "CLOSE",
    "COMPENSATE",
    "CORRECT",
    "CUT_SHORT",
    "GO_ON",
    "GO_ON_ANYWAY",
    "LEAVE_IT",
    "LEVEL_NOW",
    "MICROMETER",
    "PRINT_AGAIN",
    "READ_AGAIN",
    "REPEAT_READINGS",
    "SET_HEIGHT",
    "STOP_HERE",
    "TOUCH_AGAIN",
    "Answer",
    "AnyAnswer",
    "AnyRequest",
    "AskFilament",
    "AskSheet",
    "ByMachine",
    "ByPerson",
    "ChangeHeightByMenu",
    "Checks",
    "Choose",
    "Chosen",
    "Confirm",
    "Confirmed",
    "Connect",
    "Connected",
    "CoolDown",
    "Done",
    "EnterGrid",
    "Feel",
    "Felt",
    "Filament",
    "FollowAgain",
    "FollowGrid",
    "HeightChanged",
    "HeightKept",
    "Home",
    "JudgePad",
    "LeaveGrid",
    "Lift",
    "Look",
    "LookForDaylight",
    "Lower",
    "MoveByHand",
    "MoveMotors",
    "Outcome",
    "PadMeasured",
    "PadSeen",
    "Park",
    "Phase",
    "PrintLayer",
    "ReadHeight",
    "ReadingTaken",
    "Reconnect",
    "Request",
    "Seen",
    "SetGrid",
    "SetHeight",
    "ShowChange",
    "ShowPrint",
    "ShowResult",
    "ShowTouches",
    "Skipped",
    "Soak",
    "Store",
    "TakeReading",
    "Thickness",
    "Tool",
    "Topic",
    "Touch",
    "TouchGrid",
    "TouchPoint",
    "TouchTest",
    "Touched",
    "Turn",
    "TurnEndstop",
    "Turned",
    "Warm",
]
